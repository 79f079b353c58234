import type { Range } from "../quantity/index.js";
import type { Conditions } from "./conditions.js";
import { type FamilyFigures, type FigureRow, familyFigures } from "./figure-rows.js";
import type { Source } from "./figures.js";

/** The load, in pF, for which delays are asked; what a net adds to it is the circuit's business. */
export const STANDARD_LOAD = 50;

/** A row that may be used under the circuit's supply, and how well it fits. */
export interface UsableRow {
  readonly row: FigureRow;
  /** False where the sheet states a narrower supply than the circuit's; its limits are then taken with a remark. */
  readonly coversSupply: boolean;
}

/**
 * The rows of a function that serve the circuit's supply: those of the highest printed supply that the least supply
 * reaches, or else those whose printed supply lies inside the circuit's range.
 */
export function usableRows(figures: FamilyFigures, fn: string, supply: Range, maker?: string): readonly UsableRow[] {
  const wanted = maker === undefined ? undefined : plain(maker);
  const rows = figures.rows.filter(
    (row) =>
      row.function === fn &&
      (wanted === undefined || plain(figures.sources[row.source]?.publisher ?? "").includes(wanted)),
  );
  const covering = rows.filter(({ supply: [from, to] }) => from <= supply.min && supply.max <= to);
  const inside = rows.filter(({ volts }) => supply.min <= volts && volts <= supply.max);
  const chosen = covering.length > 0 ? covering : inside;
  return chosen.map((row) => ({ row, coversSupply: covering.length > 0 }));
}

/** Publishers that print figures for a function of a family, each once. */
export function makersOf(family: string, fn: string): readonly string[] {
  const figures = familyFigures(family);
  const names = figures.rows
    .filter((row) => row.function === fn)
    .map((row) => figures.sources[row.source]?.publisher ?? "");
  return [...new Set(names)];
}

/** Of limits found in several rows, those of the best fit: higher printed supply, then better load, then read not recalled. */
export function bestFit<T extends { readonly volts: number; readonly loadRank: number; readonly fromMemory: boolean }>(
  limits: readonly T[],
): readonly T[] {
  const order = (a: T, b: T) =>
    b.volts - a.volts || a.loadRank - b.loadRank || Number(a.fromMemory) - Number(b.fromMemory);
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
export function supplyRemark({ row, coversSupply }: UsableRow, { supplyVolts }: Conditions): string | undefined {
  if (coversSupply) return undefined;
  const [from, to] = row.supply;
  const printed = from === to ? `${from} V only` : `${from} to ${to} V`;
  return `sheet states ${printed}, used at ${supplyVolts.min} to ${supplyVolts.max} V`;
}

function plain(publisher: string): string {
  return publisher.toLowerCase().replaceAll(/[^a-z0-9]/g, "");
}
