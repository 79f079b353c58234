import { describe, expect, test } from "vitest";
import { formatProblem, readOwnParts } from "../../../src/circuit/index.js";
import { mistakeFiles } from "../mistake-files.js";

const files = mistakeFiles(new URL("mistakes/", import.meta.url));

describe("an own parts file with a mistake gets exactly the lines that it deserves", () => {
  test.each(files)("$file", ({ file, text, expected, isError }) => {
    const { problems, hasErrors } = readOwnParts(text, file);
    expect(problems.map(formatProblem)).toEqual(expected);
    expect(hasErrors).toBe(isError);
  });
});

test("only the file without mistakes has none", () => {
  expect(files.filter(({ expected }) => expected.length === 0).map(({ file }) => file)).toEqual(["no-mistake.yaml"]);
});
