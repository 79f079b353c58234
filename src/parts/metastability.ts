import * as z from "zod";
import file from "#data/metastability.json" with { type: "json" };
import type { Part } from "./part.js";

const row = z.strictObject({
  part: z.string(),
  family: z.string().nullable(),
  tauNs: z.number().positive(),
  t0Seconds: z.number().positive(),
  source: z.strictObject({ publisher: z.string(), document: z.string() }),
  fromMemory: z.boolean(),
});

const { rows } = z.strictObject({ about: z.string(), rows: z.array(row) }).parse(file);

/** How long a flip-flop may stay undecided when its input changes at its clock: `exp(-t / tau)` of the times. */
export interface Metastability {
  /** Seconds. */
  readonly tau: number;
  /** Seconds. */
  readonly t0: number;
  /** What `t` counts from: the clock's edge, as most publications do, or the end of the flip-flop's delay. */
  readonly countedFrom: "clock edge" | "output";
  /** The part that the figures were published for; empty where the circuit file gives them. */
  readonly publishedFor: string;
  /** Where they were read. */
  readonly source: string;
  readonly fromMemory: boolean;
}

/** Figures on record: those of the part itself, else those of its family's flip-flop; undefined where nobody publishes any. */
export function metastabilityOf({ number, family }: Pick<Part, "number" | "family">): Metastability | undefined {
  const found = rows.find(({ part }) => part === number) ?? rows.find((one) => one.family === family);
  return (
    found && {
      tau: found.tauNs / 1e9,
      t0: found.t0Seconds,
      countedFrom: "clock edge",
      publishedFor: found.part,
      source: `${found.source.publisher}, ${found.source.document}`,
      fromMemory: found.fromMemory,
    }
  );
}
