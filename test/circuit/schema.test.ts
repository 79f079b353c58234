import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { circuitSchema, readCircuit } from "../../src/circuit/index.js";
import { lamp } from "./harbour.js";
import { undescribedKeys } from "./undescribed-keys.js";

const folder = new URL("mistakes/", import.meta.url);

test("the published JSON Schema is the one that the reader checks by (vitest --update writes it anew)", async () => {
  await expect(`${JSON.stringify(circuitSchema(), null, 2)}\n`).toMatchFileSnapshot("../../data/circuit.schema.json");
});

describe("the published JSON Schema", () => {
  const published: unknown = JSON.parse(
    readFileSync(new URL("../../data/circuit.schema.json", import.meta.url), "utf8"),
  );
  const schema = z.fromJSONSchema(published as z.core.JSONSchema.JSONSchema);

  test("is of draft 2020-12", () => {
    expect(published).toMatchObject({ $schema: "https://json-schema.org/draft/2020-12/schema" });
  });

  test("takes a right file", () => {
    expect(schema.safeParse(parse(lamp)).success).toBe(true);
  });

  const structural = new Set(["unknown-key", "missing-key", "wrong-type", "wrong-value", "missing-net"]);
  /** Mistakes of YAML itself, of which a schema knows nothing. */
  const ofYaml = ["yaml", "pin-twice", "duplicate-key", "duplicate-chip", "key-is-no-text", "several-documents"];
  const ofAliases = ["unknown-anchor", "self-reference"];
  const files = readdirSync(folder).flatMap((file) => {
    const text = readFileSync(new URL(file, folder), "utf8");
    const codes = readCircuit(text, file).problems.map(({ code }) => code);
    return codes.some((code) => [...ofYaml, ...ofAliases].includes(code)) ? [] : [{ file, text, codes }];
  });

  test.each(files)("and the reader agree on the structure of $file", ({ text, codes }) => {
    expect(schema.safeParse(parse(text)).success).toBe(!codes.some((code) => structural.has(code)));
  });

  test("describes every key", () => {
    expect(undescribedKeys(published)).toEqual([]);
  });
});
