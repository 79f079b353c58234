import type { Range } from "../quantity/index.js";

/** What a circuit file says that decides which data-sheet figures hold. */
export interface Conditions {
  readonly supplyVolts: Range;
  readonly ambientCelsius: Range;
  /** Part number, as the file writes it, to the publisher whose sheet alone counts. Parts not named: the slowest and fastest on record. */
  readonly makers?: ReadonlyMap<string, string>;
  /** A minimum delay that no sheet states is this fraction (0 to 1) of the typical 25 °C figure; 0 for none at all. */
  readonly unstatedMinimum: { readonly fractionOfTypical: number };
}

/**
 * The choice made where the circuit file makes none: one quarter. Wakerly, Digital Design (from memory), takes a quarter
 * to a third of the typical delay.
 */
export const DEFAULT_UNSTATED_MINIMUM = { fractionOfTypical: 0.25 } as const;

/** Typical over maximum at 25 °C: the mean ratio over 167 arcs of 74HC sheets read. Stands in where a sheet prints no typical. */
export const TYPICAL_OVER_MAXIMUM = 0.58;

/** Prints the conditions in a few words: `4.5 to 5.5 V, 0 to 50 °C`. */
export function describeConditions({ supplyVolts, ambientCelsius }: Conditions): string {
  const span = ({ min, max }: Range) => (min === max ? `${min}` : `${min} to ${max}`);
  return `${span(supplyVolts)} V, ${span(ambientCelsius)} °C`;
}
