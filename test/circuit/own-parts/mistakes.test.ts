import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { formatProblem, readOwnParts } from "../../../src/circuit/index.js";

/** Each file has a mistake and begins with what is to be said of it, one comment `# => line:column: ...` for each line. */
const folder = new URL("mistakes/", import.meta.url);
const files = readdirSync(folder).sort();

function expectedIn(text: string): readonly string[] {
  return text.split("\n").flatMap((line) => (line.startsWith("# => ") ? [line.slice(5)] : []));
}

describe("an own parts file with a mistake gets exactly the lines that it deserves", () => {
  test.each(files)("%s", (file) => {
    const text = readFileSync(new URL(file, folder), "utf8");
    const { problems, hasErrors } = readOwnParts(text, file);
    const expected = expectedIn(text);
    expect(problems.map(formatProblem)).toEqual(expected.map((line) => `${file}:${line}`));
    expect(hasErrors).toBe(expected.some((line) => !/^\d+:\d+: warning: /.test(line)));
  });
});

test("only the file without mistakes has none", () => {
  const clean = files.filter((file) => expectedIn(readFileSync(new URL(file, folder), "utf8")).length === 0);
  expect(clean).toEqual(["no-mistake.yaml"]);
});
