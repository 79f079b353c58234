import type { Range } from "../quantity/index.js";

/** A limit read off a sheet and the column it stood in. */
export interface ColumnLimit {
  readonly value: number;
  /** `max85`, `min25`. */
  readonly column: string;
  /** Set where the column does not cover the ambient and the value was widened by an allowance. */
  readonly allowance?: string;
}

/** What the temperature columns of sheets guarantee, in °C, coolest first. */
export const temperatureColumns: readonly {
  readonly name: "25" | "70" | "85" | "125";
  readonly from: number;
  readonly to: number;
}[] = [
  { name: "25", from: 25, to: 25 },
  { name: "70", from: 0, to: 70 },
  { name: "85", from: -40, to: 85 },
  { name: "125", from: -40, to: 125 },
];

/** The cells `max25`, `max70` .. or `min25` .. of a row. */
export type LimitColumns<P extends "min" | "max"> = {
  readonly [K in `${P}${(typeof temperatureColumns)[number]["name"]}`]?: number;
};

/**
 * The limit of the coolest column that covers the ambient range. Undefined where no column does. A part that is used at
 * exactly 25 °C takes the 25 °C column.
 */
export function coveringLimit<P extends "min" | "max">(
  row: LimitColumns<P>,
  prefix: P,
  ambient: Range,
): ColumnLimit | undefined {
  const cells: Readonly<Record<string, number | undefined>> = row;
  for (const { name, from, to } of temperatureColumns) {
    const column = `${prefix}${name}`;
    const value = cells[column];
    if (value !== undefined && from <= ambient.min && ambient.max <= to) return { value, column };
  }
  return undefined;
}

/** The limit of the coolest column printed at all. */
export function coolestLimit<P extends "min" | "max">(row: LimitColumns<P>, prefix: P): ColumnLimit | undefined {
  const cells: Readonly<Record<string, number | undefined>> = row;
  for (const { name } of temperatureColumns) {
    const column = `${prefix}${name}`;
    const value = cells[column];
    if (value !== undefined) return { value, column };
  }
  return undefined;
}
