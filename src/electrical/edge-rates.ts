import * as z from "zod";
import file from "#data/electrical/edge-rates.json" with { type: "json" };
import { type Part, sourceLine } from "../parts/index.js";

const source = z.strictObject({ publisher: z.string(), document: z.string() });

const { line, spikeSource, families } = z
  .strictObject({
    about: z.string(),
    line: z.strictObject({
      ohms: z.tuple([z.number(), z.number()]),
      seriesOhms: z.number(),
      source,
      rule: z.string(),
      ruleSource: source,
    }),
    spikeSource: source,
    families: z.array(
      z.strictObject({
        family: z.string(),
        ns: z.number(),
        spikeMilliamps: z.number(),
        source,
        fromMemory: z.boolean(),
      }),
    ),
  })
  .parse(file);

/** Wires as lines: their impedance, and what in series with an output keeps them from ringing. */
export const wireLine = line;
export const wireSources = [line.ruleSource, line.source].map((one) => `${one.publisher} ${one.document}`).join("; ");
export const spikeSourceLine = `${spikeSource.publisher} ${spikeSource.document}`;

export interface EdgeRate {
  /** 10 to 90 %, in nanoseconds. */
  readonly ns: number;
  /** What one output takes from the supply for 5 to 10 ns while it switches, in mA. */
  readonly spikeMilliamps: number;
  readonly source: string;
  readonly fromMemory: boolean;
}

/** How fast the outputs of a part switch; undefined for families of which nothing is on record. */
export function edgeRateOf({ family, levelsAs }: Part): EdgeRate | undefined {
  const row = families.find((one) => one.family === (levelsAs ?? family));
  if (!row) return undefined;
  const { ns, spikeMilliamps, fromMemory } = row;
  return { ns, spikeMilliamps, source: sourceLine({ ...row.source, fromMemory }), fromMemory };
}
