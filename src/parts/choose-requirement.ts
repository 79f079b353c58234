import { fs, ns } from "../quantity/index.js";
import type { Conditions } from "./conditions.js";
import type { FamilyFigures, FigureRow, RequirementRow } from "./figure-rows.js";
import type { Requirement } from "./figures.js";
import { limitUnder } from "./limit-under.js";
import type { ColumnLimit } from "./temperature-columns.js";
import { type Fit, STANDARD_LOAD, type UsableRow, bestFit, sourceOf, supplyRemark } from "./usable-rows.js";

interface FoundLimit extends Fit {
  readonly row: FigureRow;
  /** ns for times, MHz for a clock rate. */
  readonly value: number;
  readonly column: readonly (string | undefined)[];
}

const symbols: Readonly<Record<RequirementRow["kind"], string>> = {
  "set-up": "tsu",
  hold: "th",
  "width high": "tw",
  "width low": "tw",
  recovery: "trec",
};

/** The longest time that the best-fitting rows ask for. Undefined where no row covers the conditions. */
export function chooseRequirement(
  figures: FamilyFigures,
  rows: readonly UsableRow[],
  kind: RequirementRow["kind"],
  speaksOf: (requirement: RequirementRow) => boolean,
  conditions: Conditions,
): Requirement | undefined {
  const found = rows.flatMap((usable) =>
    usable.row.requirements.flatMap((requirement): FoundLimit[] => {
      if (requirement.kind !== kind || !speaksOf(requirement)) return [];
      const limit = limitUnder(figures.family, usable, requirement, "min", conditions, (value, factor) =>
        Math.max(value, value * factor),
      );
      if (limit === undefined) return [];
      return [foundLimit(usable, 0, limit, requirement.fromMemory, requirement.note, conditions)];
    }),
  );
  const [first, ...rest] = bestFit(found);
  if (first === undefined) return undefined;
  const longest = rest.reduce((a, b) => (b.value > a.value ? b : a), first);
  return {
    kind,
    symbol: symbols[kind],
    time: ns(longest.value),
    source: sourceOf(figures, longest.row, longest.fromMemory, longest.column),
  };
}

/** The least clock period: one over the lowest guaranteed clock frequency of the best-fitting rows, rounded up to 1 fs. */
export function choosePeriod(
  figures: FamilyFigures,
  rows: readonly UsableRow[],
  isClock: (pins: readonly string[]) => boolean,
  conditions: Conditions,
): Requirement | undefined {
  const found = rows.flatMap((usable): FoundLimit[] => {
    const { maxClock, load } = usable.row;
    if (maxClock === undefined || !isClock(maxClock.pins)) return [];
    const limit = limitUnder(figures.family, usable, maxClock, "min", conditions, (value, factor) => value / factor);
    return limit === undefined
      ? []
      : [foundLimit(usable, load === STANDARD_LOAD ? 0 : 1, limit, false, undefined, conditions)];
  });
  const [first, ...rest] = bestFit(found);
  if (first === undefined) return undefined;
  const slowest = rest.reduce((a, b) => (b.value < a.value ? b : a), first);
  return {
    kind: "clock period",
    symbol: "fmax",
    time: periodOf(slowest.value),
    source: sourceOf(figures, slowest.row, slowest.fromMemory, [`${slowest.value} MHz`, ...slowest.column]),
  };
}

/** The period of a frequency in MHz, rounded up to whole femtoseconds. */
function periodOf(megahertz: number) {
  const kilohertz = Math.round(megahertz * 1000);
  const exact = Math.abs(kilohertz - megahertz * 1000) < 1e-9;
  return exact
    ? fs(Number((1_000_000_000_000n + BigInt(kilohertz) - 1n) / BigInt(kilohertz)))
    : fs(Math.ceil(1e9 / megahertz));
}

function foundLimit(
  usable: UsableRow,
  loadRank: number,
  limit: ColumnLimit,
  fromMemory: boolean,
  note: string | undefined,
  conditions: Conditions,
): FoundLimit {
  const { row } = usable;
  return {
    fit: usable.fit,
    volts: row.volts,
    loadRank,
    fromMemory: row.fromMemory || fromMemory,
    row,
    value: limit.value,
    column: [limit.column, `${row.volts} V`, note, supplyRemark(usable, conditions), limit.allowance],
  };
}
