import { type Range, microvolts, nanoamps } from "../quantity/index.js";
import type { Source } from "./figures.js";
import type { CurrentPoint, SupplyPoint } from "./level-figures.js";
import type { LevelColumns, LevelRow, LevelSources } from "./level-rows.js";
import { temperatureColumns } from "./temperature-columns.js";

const names = { "25": "25 °C", "70": "0 to 70 °C", "85": "-40 to 85 °C", "125": "-40 to 125 °C" } as const;

/** The limit of the coolest column that covers the ambient; undefined where none does. */
export function limitIn(cells: LevelColumns, ambient: Range): { value: number; column: string } | undefined {
  if (cells.any !== undefined) return { value: cells.any, column: "" };
  for (const { name, from, to } of temperatureColumns) {
    const value = cells[name];
    if (value !== undefined && from <= ambient.min && ambient.max <= to) return { value, column: names[name] };
  }
  return undefined;
}

/**
 * The points of a level at its currents; undefined where a column does not cover the ambient. What is printed as so much
 * below any supply stands at both ends of the part's supply range.
 */
export function currentPoints(
  rows: readonly LevelRow[],
  supply: readonly [number, number],
  ambient: Range,
): readonly CurrentPoint[] | undefined {
  const points: CurrentPoint[] = [];
  for (const row of rows) {
    const current = nanoamps(row.mA);
    if (row.below || row.belowShare !== undefined) {
      const less = row.below ? limitIn(row.below, ambient)?.value : 0;
      if (less === undefined) return undefined;
      for (const volts of supply) {
        const level = microvolts(volts * (1 - (row.belowShare ?? 0)) - less);
        points.push({ supply: microvolts(volts), current, level });
      }
      continue;
    }
    const limit = limitIn(row, ambient);
    if (limit === undefined || row.volts === undefined) return undefined;
    points.push({ supply: microvolts(row.volts), current, level: microvolts(limit.value) });
  }
  return points.sort((a, b) => a.supply - b.supply || a.current - b.current);
}

export function supplyPoints(pairs: readonly (readonly [number, number])[]): readonly SupplyPoint[] {
  return pairs.map(([volts, level]) => ({ supply: microvolts(volts), level: microvolts(level) }));
}

/** One level over the whole supply range. */
export function flat(level: number, [from, to]: readonly [number, number]): readonly SupplyPoint[] {
  return supplyPoints([
    [from, level],
    [to, level],
  ]);
}

/** The source of a figure, as the tables of levels name it. */
export function levelSource(sources: LevelSources, key: string, fromMemory: boolean, column = ""): Source {
  const { publisher, document, table } = sources[key] ?? { publisher: "unknown", document: key, table: "" };
  return {
    publisher,
    document,
    ...(table !== "" && { table }),
    fromMemory,
    ...(column !== "" && { column }),
  };
}
