import { z } from "zod";
import table from "#data/build-styles.json" with { type: "json" };
import { type Femtofarads, type Fs, type Range, femtofarads, ns, range } from "../quantity/index.js";
import type { BuildStyle } from "./circuit.js";

const row = z.object({
  style: z.enum(["breadboard", "perfboard", "printed board"]),
  longestMetres: z.number(),
  minNs: z.number(),
  maxNs: z.number(),
  longestIs: z.string(),
  /** Wire that a net takes for each chip beyond the second. */
  metresPerFurtherChip: z.number(),
  /** What the contact of one pin adds. */
  contactPf: z.number(),
});

const perLength = z.object({ pfPerMetre: z.number(), publisher: z.string(), document: z.string() });

const { styles, capacitancePerLength, delayPerLength } = z
  .object({
    styles: z.array(row),
    capacitancePerLength: perLength,
    delayPerLength: z.object({ nsPerMetre: z.number() }),
  })
  .parse(table);

/** What a metre of wire delays: of a published model of a trace. */
export const nsPerMetre = delayPerLength.nsPerMetre;

/** From one pin to another of one chip: common practice. */
const METRES_ON_ONE_CHIP = 0.02;

/** The styles of building, from the longest wires to the shortest. */
export const buildStyles: readonly BuildStyle[] = styles.map(({ style }) => style);

/** Limits of the delay of one wire from a driver to a receiver; length and delay per length are in the table. */
export function wireDelayOf(style: BuildStyle): Range<Fs> {
  const found = rowOf(style);
  return range(ns(found.minNs), ns(found.maxNs));
}

/** What the wires of one net add to its load at most, how that is reckoned, and where it was read. */
export interface WireCapacitance {
  readonly capacitance: Femtofarads;
  /** `0.5 m × 80 pF/m + 4 × 2 pF`. */
  readonly working: string;
  readonly source: string;
}

/**
 * The capacitance of the wires that join so many pins of so many chips. Their lengths are common practice, the capacitance a
 * published model.
 */
export function wireCapacitanceOf(style: BuildStyle, chips: number, pins: number): WireCapacitance {
  const { longestMetres, metresPerFurtherChip, contactPf } = rowOf(style);
  const { pfPerMetre, publisher, document } = capacitancePerLength;
  const metres = longestMetres + Math.max(0, chips - 2) * metresPerFurtherChip + (pins - chips) * METRES_ON_ONE_CHIP;
  const contacts = contactPf === 0 ? "" : ` + ${pins} × ${contactPf} pF`;
  return {
    capacitance: femtofarads(metres * pfPerMetre + pins * contactPf),
    working: `${Number(metres.toFixed(2))} m × ${pfPerMetre} pF/m${contacts}`,
    source: `${publisher} ${document}; lengths and contacts: common practice`,
  };
}

function rowOf(style: BuildStyle) {
  const found = styles.find((row) => row.style === style);
  if (!found) throw new RangeError(`no build style ${style} in the table`);
  return found;
}
