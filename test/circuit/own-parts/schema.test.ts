import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { ownPartsSchema, readOwnParts } from "../../../src/circuit/index.js";
import { undescribedKeys } from "../undescribed-keys.js";

const published = new URL("../../../data/parts.schema.json", import.meta.url);
const folder = new URL("mistakes/", import.meta.url);

test("the published JSON Schema of own parts is the one that the reader checks by (vitest --update writes it anew)", async () => {
  await expect(`${JSON.stringify(ownPartsSchema(), null, 2)}\n`).toMatchFileSnapshot(published.pathname);
});

describe("the published JSON Schema of own parts", () => {
  const schema = z.fromJSONSchema(JSON.parse(readFileSync(published, "utf8")) as z.core.JSONSchema.JSONSchema);
  const structural = new Set(["unknown-key", "missing-key", "wrong-type", "wrong-value"]);

  test("takes the example", () => {
    const text = readFileSync(new URL("../../../examples/drawer.parts.yaml", import.meta.url), "utf8");
    expect(schema.safeParse(parse(text)).success).toBe(true);
  });

  test.each(readdirSync(folder))("and the reader agree on the structure of %s", (file) => {
    const text = readFileSync(new URL(file, folder), "utf8");
    const wrong = readOwnParts(text, file).problems.filter(({ code }) => structural.has(code));
    expect(schema.safeParse(parse(text)).success).toBe(wrong.length === 0);
  });

  test("describes every key", () => {
    expect(undescribedKeys(ownPartsSchema())).toEqual([]);
  });
});
