import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { circuitSchema, ownPartsSchema } from "../../src/circuit/index.js";
import { commandReference } from "../../src/cli/command-reference.js";
import { commands } from "../../src/cli/commands.js";
import { coveragePage, schemaReference, sourcesPage } from "../../src/paper/index.js";

const root = new URL("../../", import.meta.url).pathname;

/** Every file of figures, schemas left out. */
function dataFiles(): { path: string; content: unknown }[] {
  return readdirSync(join(root, "data"), { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".json") && !name.endsWith(".schema.json"))
    .sort()
    .map((name) => ({ path: `data/${name}`, content: JSON.parse(readFileSync(join(root, "data", name), "utf8")) }));
}

const pages: { readonly [file: string]: () => string } = {
  "commands.md": () => commandReference(commands),
  "coverage.md": coveragePage,
  "circuit-file.md": () =>
    schemaReference(circuitSchema(), {
      title: "The circuit file",
      opening: [
        "Made by `npm run references` from the schema that the reader checks by, published as `data/circuit.schema.json`; not to be\nedited by hand. The file is YAML. Quantities are text with their units. [examples/](../examples) has whole files;\n[tide-board.md](tide-board.md) explains one of them.",
      ],
      placeholders: {
        chips: "U1",
        passives: "R1",
        inputs: "NET",
        pins: "PIN",
        makers: "PART",
        supply: "NAME",
        metastability: "PART",
      },
    }),
  "own-parts-file.md": () =>
    schemaReference(ownPartsSchema(), {
      title: "The own parts file, key by key",
      opening: [
        "Made by `npm run references` from the schema that the reader checks by, published as `data/parts.schema.json`; not to be\nedited by hand. [own-parts.md](own-parts.md) explains the file and shows a whole one.",
      ],
      placeholders: { functions: "FUNCTION", storage: "NAME", drives: "PIN", pins: "NUMBER" },
    }),
  "sources.md": () => sourcesPage(dataFiles()),
};

describe("a page of reference is the one that the tool's own tables give (npm run references writes it anew)", () => {
  test.each(Object.entries(pages))("%s", async (file, page) => {
    await expect(page()).toMatchFileSnapshot(join(root, "docs", file));
  });
});

describe("the reference of the commands", () => {
  const page = commandReference(commands);

  test("has every command of the table, each option, and its examples", () => {
    for (const { name, options, examples } of commands) {
      expect(page).toContain(`\n## ${name}\n`);
      for (const example of examples) expect(page).toContain(`    ${example}\n`);
      for (const option of Object.keys(options)) {
        expect(page).toContain(`\`--${option.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`);
      }
    }
  });
});

describe("the page of sources", () => {
  test("names each document of the data once, and the files that rest on it", () => {
    const sheet = { publisher: "Fairlead", document: "FL77, May 1988" };
    const page = sourcesPage([
      { path: "data/one.json", content: { rows: [{ source: sheet }, { source: { ...sheet, title: "a latch" } }] } },
      { path: "data/two.json", content: { source: "common practice", deeper: { sources: { a: sheet } } } },
    ]);
    expect(page).toContain("- FL77, May 1988, _a latch_ (`one.json`, `two.json`)\n");
    expect(page.split("FL77")).toHaveLength(2);
    expect(page).toContain("- `data/two.json`: common practice\n");
  });
});
