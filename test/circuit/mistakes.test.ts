import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { formatProblem, readCircuit } from "../../src/circuit/index.js";
import { findRaster } from "../../src/raster/index.js";
import { mistakeFiles } from "./mistake-files.js";

const folder = new URL("mistakes/", import.meta.url);
const files = mistakeFiles(folder);

describe("a circuit file with a mistake gets exactly the lines that it deserves", () => {
  test.each(files)("$file", ({ file, text, expected, isError }) => {
    const { circuit, problems } = readCircuit(text, file, { findRaster });
    expect(problems.map(formatProblem)).toEqual(expected);
    expect(circuit === undefined).toBe(isError);
  });
});

test("only the file without mistakes has none", () => {
  expect(files.filter(({ expected }) => expected.length === 0).map(({ file }) => file)).toEqual(["no-mistake.yaml"]);
});

test("places point at the text that is wrong, its end included", () => {
  const file = "unknown-pin.yaml";
  const text = readFileSync(new URL(file, folder), "utf8");
  const [problem] = readCircuit(text, file, { findRaster }).problems;
  const line = text.split("\n")[(problem?.line ?? 0) - 1] ?? "";
  expect(problem?.endLine).toBe(problem?.line);
  expect(line.slice((problem?.column ?? 0) - 1, (problem?.endColumn ?? 0) - 1)).toBe("3Z");
  expect(problem).toMatchObject({ severity: "error", code: "unknown-pin", suggestion: "3Y" });
});
