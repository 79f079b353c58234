import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { filesNamedIn, loadingSchema, readLoadingList } from "../../src/loading/index.js";
import { undescribedKeys } from "../circuit/undescribed-keys.js";

const size = { width: 40, height: 30 };
const example = readFileSync(new URL("../../examples/tide-board.loading.yaml", import.meta.url), "utf8");
const linesOf = (text: string, files: Readonly<Record<string, Uint8Array>> = {}) =>
  readLoadingList(text, "list.yaml", size, (file) => files[file]).problems.map(
    ({ line, column, message }) => `${line}:${column} ${message}`,
  );

test("the published JSON Schema is the one that lists are checked by (vitest --update writes it anew)", async () => {
  await expect(`${JSON.stringify(loadingSchema(), null, 2)}\n`).toMatchFileSnapshot("../../data/loading.schema.json");
});

describe("the published JSON Schema", () => {
  const schema = z.fromJSONSchema(loadingSchema() as z.core.JSONSchema.JSONSchema);

  test("takes the bundled list, and no list with a word that it does not know", () => {
    expect(schema.safeParse(parse(example)).success).toBe(true);
    expect(schema.safeParse(parse(example.replace("align:", "aline:"))).success).toBe(false);
  });

  test("says something of every key", () => {
    expect(undescribedKeys(loadingSchema())).toEqual([]);
  });
});

describe("a list", () => {
  test("is read with its layers in their order", () => {
    const { layers, problems } = readLoadingList(example, "list.yaml", size, () => undefined);
    expect(problems).toEqual([]);
    expect(layers?.map(({ kind }) => kind)).toEqual(["fill", "text", "text", "fill", "text", "text"]);
  });

  test("names the files that it takes something from", () => {
    const text =
      "load: 1\nfont: a.bdf\nlayers: [{ picture: { file: b.png } }, { text: { file: c.txt } }, { bytes: { at: 0, file: d } }]";
    expect(filesNamedIn(text)).toEqual(["a.bdf", "b.png", "c.txt", "d"]);
    expect(filesNamedIn("no list")).toEqual([]);
  });

  test("has its mistakes told with line and column", () => {
    expect(linesOf("load: 1\nlayers:\n  - text: { x: 1 }")).toEqual(["3:5 it is not said which text"]);
    expect(linesOf("load: 1\nlayers:\n  - bytes: { at: 0 }")).toEqual(["3:5 it is not said which bytes"]);
    expect(linesOf("load: 1\nlayers:\n  - picture: { file: a.png }")).toEqual(["3:22 a.png: cannot be read"]);
    const files = { "a.png": Uint8Array.of(1, 2, 3), "a.bdf": Uint8Array.of(1, 2, 3) };
    expect(linesOf("load: 1\nlayers:\n  - picture: { file: a.png }", files)).toEqual([
      "3:22 a.png: is no picture that is read here: PNG, JPEG, PBM, PGM, PPM and PAM are",
    ]);
    expect(linesOf("load: 1\nfont: a.bdf\nlayers: []", files)).toEqual([
      "2:7 a.bdf: is no font: a BDF, PCF or console font (PSF 1 or 2) was expected",
    ]);
    expect(linesOf("load: 2\nlayers: []")[0]).toMatch(/^1:7 /);
  });

  test("of any text is read or refused, and never a crash", () => {
    const word = fc.constantFrom(
      "load: 1",
      "layers:",
      "  - text: {",
      "text: A",
      "}",
      "- ",
      "font: x",
      ": ",
      "[",
      "&a",
      "*a",
      "0x",
    );
    fc.assert(
      fc.property(fc.array(word, { maxLength: 12 }), fc.constantFrom("\n", " ", ", "), (words, between) => {
        const { layers, problems } = readLoadingList(words.join(between), "list.yaml", size, () => undefined);
        expect(layers !== undefined || problems.length > 0).toBe(true);
      }),
      { numRuns: 200 },
    );
  });
});
