import * as z from "zod";
import file from "#data/families.json" with { type: "json" };
import type { Part } from "./part.js";

const row = z.strictObject({
  family: z.string(),
  functions: z.array(z.string()).exactOptional(),
  title: z.string(),
  supply: z.tuple([z.number(), z.number()]),
  levels: z.literal(["CMOS", "TTL"]),
  sink: z.number(),
  busSink: z.number(),
  source: z.strictObject({ publisher: z.string(), document: z.string() }).nullable(),
  fromMemory: z.boolean(),
});

const { rows } = z.strictObject({ about: z.string(), rows: z.array(row) }).parse(file);

/** Input levels, supply in V and output currents in mA of a logic family. */
export type FamilyTraits = z.infer<typeof row>;

/** As the family makes this function. Undefined for memories, oscillators and families of a builder's own. */
export function familyTraits(family: string, fn: string): FamilyTraits | undefined {
  return rows.find((one) => one.family === family && (one.functions?.includes(fn) ?? true));
}

/** Low-level output current in mA that a part's outputs carry; three-state outputs are bus drivers. */
export function outputSink({ family, behaviour }: Part): number | undefined {
  const traits = familyTraits(family, behaviour.function);
  return behaviour.outputs.some(({ enable }) => enable) ? traits?.busSink : traits?.sink;
}
