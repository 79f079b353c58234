import { z } from "zod";
import table from "#data/build-styles.json" with { type: "json" };
import { type Fs, type Range, ns, range } from "../quantity/index.js";
import type { BuildStyle } from "./circuit.js";

const row = z.object({
  style: z.enum(["breadboard", "perfboard", "printed board"]),
  longestMetres: z.number(),
  minNs: z.number(),
  maxNs: z.number(),
  longestIs: z.string(),
});

const { styles } = z.object({ styles: z.array(row) }).parse(table);

/** The styles of building, from the longest wires to the shortest. */
export const buildStyles: readonly BuildStyle[] = styles.map(({ style }) => style);

/** Limits of the delay of one wire from a driver to a receiver; length and delay per length are in the table. */
export function wireDelayOf(style: BuildStyle): Range<Fs> {
  const found = styles.find((row) => row.style === style);
  if (!found) throw new RangeError(`no build style ${style} in the table`);
  return range(ns(found.minNs), ns(found.maxNs));
}
