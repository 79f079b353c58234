import type { Range } from "../quantity/index.js";
import { temperatureAllowance } from "./allowances.js";
import type { Conditions } from "./conditions.js";
import { type FamilyFigures, type FigureRow, familyFigures } from "./figure-rows.js";
import type { Source } from "./figures.js";

/** The load, in pF, for which delays are asked; what a net adds to it is the circuit's business. */
export const STANDARD_LOAD = 50;

/** How a row serves the circuit's supply: as printed, by the family's allowance, or with a remark that it covers less. */
const fits = ["covered", "allowed", "remarked"] as const;

/** A row that may be used under the circuit's supply. */
export interface UsableRow {
  readonly row: FigureRow;
  readonly fit: (typeof fits)[number];
}

/** What decides among rows that give the same limit. */
export interface Fit {
  readonly fit: UsableRow["fit"];
  /** The row's printed supply. */
  readonly volts: number;
  /** 0 where the row's load is the standard one. */
  readonly loadRank: number;
  readonly fromMemory: boolean;
}

/**
 * The rows of a function that may serve the circuit's supply: those whose supply covers it, and those printed for a supply
 * inside it, which cover less. `maker` leaves one publisher's sheets only.
 */
export function usableRows(figures: FamilyFigures, fn: string, supply: Range, maker?: string): readonly UsableRow[] {
  const wanted = maker === undefined ? "" : plain(maker);
  const [lowest, highest] = temperatureAllowance(figures.family)?.supply ?? [Infinity, -Infinity];
  const isAllowed = lowest <= supply.min && supply.max <= highest;
  return figures.rows.flatMap((row): UsableRow[] => {
    if (row.function !== fn || !plain(figures.sources[row.source]?.publisher ?? "").includes(wanted)) return [];
    const [from, to] = row.supply;
    if (from <= supply.min && supply.max <= to) return [{ row, fit: "covered" }];
    if (isAllowed) return [{ row, fit: "allowed" }];
    return supply.min <= row.volts && row.volts <= supply.max ? [{ row, fit: "remarked" }] : [];
  });
}

/** Publishers that print figures for a function of a family, each once. */
export function makersOf(family: string, fn: string): readonly string[] {
  const figures = familyFigures(family);
  const names = figures.rows
    .filter((row) => row.function === fn)
    .map((row) => figures.sources[row.source]?.publisher ?? "");
  return [...new Set(names)];
}

/**
 * Of limits found in several rows, those of the best fit: rows that cover the supply, then the higher printed supply, then
 * the better load, then rows read rather than recalled.
 */
export function bestFit<T extends Fit>(limits: readonly T[]): readonly T[] {
  const order = (a: T, b: T) =>
    fits.indexOf(a.fit) - fits.indexOf(b.fit) ||
    b.volts - a.volts ||
    a.loadRank - b.loadRank ||
    Number(a.fromMemory) - Number(b.fromMemory);
  const [best] = [...limits].sort(order);
  return best === undefined ? [] : limits.filter((limit) => order(limit, best) === 0);
}

/** The source of a limit, with the column, the conditions and every remark about how it was chosen. */
export function sourceOf(
  figures: FamilyFigures,
  row: FigureRow,
  fromMemory: boolean,
  column: readonly (string | undefined)[],
): Source {
  const { publisher, document, title, url } = figures.sources[row.source] ?? {
    publisher: "unknown",
    document: row.source,
  };
  return {
    publisher,
    document,
    ...(title !== undefined && { title }),
    ...(row.table !== undefined && { table: row.table }),
    ...(url !== undefined && { url }),
    fromMemory,
    column: [...column, fromMemory && row.confidence !== undefined ? `${row.confidence} confidence` : undefined]
      .filter((text) => text !== undefined)
      .join(", "),
  };
}

/** The remark for a row that does not cover the circuit's supply. */
export function supplyRemark({ row, fit }: UsableRow, { supplyVolts }: Conditions): string | undefined {
  if (fit !== "remarked") return undefined;
  const [from, to] = row.supply;
  const printed = from === to ? `${from} V only` : `${from} to ${to} V`;
  return `sheet states ${printed}, used at ${supplyVolts.min} to ${supplyVolts.max} V`;
}

function plain(publisher: string): string {
  return publisher.toLowerCase().replaceAll(/[^a-z0-9]/g, "");
}
