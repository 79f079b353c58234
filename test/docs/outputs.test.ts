import { readFileSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "../cli/surroundings.js";
import { type ConsoleBlock, consoleBlocks, missingFrom } from "./console-blocks.js";

const root = new URL("../../", import.meta.url).pathname;

const documents = [
  "README.md",
  ...readdirSync(join(root, "docs"))
    .filter((name) => name.endsWith(".md"))
    .map((name) => `docs/${name}`),
];
const blocks = documents.flatMap((file) =>
  consoleBlocks(readFileSync(join(root, file), "utf8")).map((block) => ({ ...block, place: `${file}:${block.line}` })),
);

/** The words of a command line, quoted ones whole, after `npx dotwright`. */
function argumentsOf({ command }: ConsoleBlock): readonly string[] {
  const words = [...command.matchAll(/"([^"]*)"|(\S+)/g)].map(([, quoted, plain]) => quoted ?? plain ?? "");
  if (words[0] !== "npx" || words[1] !== "dotwright") throw new Error(`${command}: not a command of ours`);
  // Threads need the built program; tests run its sources.
  return words[2] === "diagnose" ? [...words.slice(2), "--workers", "1"] : words.slice(2);
}

describe("what a document says that a command prints is what it prints", () => {
  test.each(blocks)("$place: $command", async (block) => {
    const args = argumentsOf(block);
    // What an earlier run wrote is in the way of a command that never writes over a file.
    const written = args[args.indexOf("--write") + 1];
    if (args.includes("--write") && written?.startsWith("out/")) rmSync(join(root, written), { force: true });
    const { out, err } = await outcomeOf(commands, args);
    const output = `${err}${out}`;
    expect({ missing: missingFrom(output, block.shown), output }).toEqual({ missing: undefined, output });
  });
});

describe("a block of a document", () => {
  const document = [
    "```console",
    "$ npx dotwright version",
    "one",
    "…",
    "four",
    "```",
    "",
    "```yaml",
    "$ no",
    "```",
  ].join("\n");

  test("has the command, its line, and the runs of lines that are shown", () => {
    expect(consoleBlocks(document)).toEqual([
      { line: 2, command: "npx dotwright version", shown: [["one"], ["four"]] },
    ]);
  });

  test("is held against the output in order, and the first run that is not there is told", () => {
    const [block] = consoleBlocks(document);
    expect(missingFrom("one\ntwo\nthree\nfour", block?.shown ?? [])).toBeUndefined();
    expect(missingFrom("four\none", block?.shown ?? [])).toEqual(["four"]);
  });
});
