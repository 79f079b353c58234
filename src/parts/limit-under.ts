import { temperatureAllowance } from "./allowances.js";
import type { Conditions } from "./conditions.js";
import { type ColumnLimit, type LimitColumns, coolestLimit, coveringLimit } from "./temperature-columns.js";
import type { UsableRow } from "./usable-rows.js";

/**
 * The limit that a row guarantees under the circuit's conditions: a column that covers the ambient, or a 25 °C one widened
 * by the family's allowance where that covers ambient and supply. `widen` applies the allowance's factor in the direction
 * that makes the limit worse. Undefined where neither covers the conditions.
 */
export function limitUnder<P extends "min" | "max">(
  family: string,
  { fit }: UsableRow,
  row: LimitColumns<P>,
  prefix: P,
  { ambientCelsius, supplyVolts }: Conditions,
  widen: (value: number, factor: number) => number,
): ColumnLimit | undefined {
  const covering = fit === "allowed" ? undefined : coveringLimit(row, prefix, ambientCelsius);
  if (covering) return covering;
  const allowance = temperatureAllowance(family);
  const printed = coolestLimit(row, prefix);
  if (allowance === undefined || printed === undefined) return undefined;
  const [[coldest, hottest], [lowest, highest]] = [allowance.ambient, allowance.supply];
  if (ambientCelsius.min < coldest || ambientCelsius.max > hottest) return undefined;
  if (supplyVolts.min < lowest || supplyVolts.max > highest) return undefined;
  return {
    value: widen(printed.value, allowance.factor),
    column: printed.column,
    allowance: `times ${allowance.factor} for ${coldest} to ${hottest} °C, ${lowest} to ${highest} V (${allowance.source.document})`,
  };
}
