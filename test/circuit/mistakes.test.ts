import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { formatProblem, readCircuit } from "../../src/circuit/index.js";
import { findRaster } from "../../src/raster/index.js";

/** Each file has a mistake and begins with what is to be said of it, one comment `# => line:column: ...` for each line. */
const folder = new URL("mistakes/", import.meta.url);
const files = readdirSync(folder).sort();

function expectedIn(text: string): readonly string[] {
  return text.split("\n").flatMap((line) => (line.startsWith("# => ") ? [line.slice(5)] : []));
}

describe("a circuit file with a mistake gets exactly the lines that it deserves", () => {
  test.each(files)("%s", (file) => {
    const text = readFileSync(new URL(file, folder), "utf8");
    const { circuit, problems } = readCircuit(text, file, { findRaster });
    const expected = expectedIn(text);
    expect(problems.map(formatProblem)).toEqual(expected.map((line) => `${file}:${line}`));
    const isError = expected.some((line) => !/^\d+:\d+: warning: /.test(line));
    expect(circuit === undefined).toBe(isError);
  });
});

test("only the file without mistakes has none", () => {
  const clean = files.filter((file) => expectedIn(readFileSync(new URL(file, folder), "utf8")).length === 0);
  expect(clean).toEqual(["no-mistake.yaml"]);
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
