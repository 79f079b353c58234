import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { ownPartsSchema, readOwnParts } from "../../../src/circuit/index.js";

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
    const undescribed: string[] = [];
    const visit = (node: unknown, path: string): void => {
      if (typeof node !== "object" || node === null) return;
      const { properties = {}, ...rest } = node as { properties?: Record<string, unknown> };
      for (const [key, property] of Object.entries(properties)) {
        if (!(property as { description?: string }).description) undescribed.push(`${path}/${key}`);
        visit(property, `${path}/${key}`);
      }
      for (const [key, value] of Object.entries(rest)) if (key !== "examples") visit(value, path);
    };
    visit(ownPartsSchema(), "");
    expect(undescribed).toEqual([]);
  });
});
