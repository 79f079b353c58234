import * as z from "zod";
import logic from "#data/packages/logic.json" with { type: "json" };
import memories from "#data/packages/memories.json" with { type: "json" };
import oscillators from "#data/packages/oscillators.json" with { type: "json" };
import type { Package } from "./part.js";

const table = z.strictObject({
  what: z.string(),
  packages: z.array(
    z.strictObject({
      function: z.string(),
      type: z.string().exactOptional(),
      package: z.string(),
      source: z.strictObject({ publisher: z.string(), document: z.string() }).nullable(),
      checked: z.string(),
      fromMemory: z.boolean(),
      pins: z.record(z.string().regex(/^\d+$/), z.string()),
    }),
  ),
});

const packagesByFunction = new Map<string, Package[]>();
for (const row of [logic, memories, oscillators].flatMap((data) => table.parse(data).packages)) {
  const { publisher, document } = row.source ?? { publisher: "from memory", document: "no sheet read" };
  const found = packagesByFunction.get(row.function) ?? [];
  found.push({
    name: row.package,
    pins: Object.entries(row.pins).map(([number, name]) => ({ number: Number(number), name })),
    isDual: row.package.startsWith("DIP"),
    source: { publisher, document, fromMemory: row.fromMemory },
    checked: row.checked,
  });
  packagesByFunction.set(row.function, found);
}

/**
 * The package that a builder meets first: DIP where the function comes in one. Several pins may bear one name (`NC`; `VCC` of
 * packages with centre power).
 */
export function packageOf(functionNumber: string): Package | undefined {
  return packagesOf(functionNumber)[0];
}

/** Every package on record for a function; oscillators come in full and half size cans. */
export function packagesOf(functionNumber: string): readonly Package[] {
  return packagesByFunction.get(functionNumber) ?? [];
}
