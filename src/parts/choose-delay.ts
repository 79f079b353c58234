import { type Fs, ns } from "../quantity/index.js";
import { loadSlope } from "./allowances.js";
import { type Conditions, TYPICAL_OVER_MAXIMUM } from "./conditions.js";
import type { DelayRow, FamilyFigures, FigureRow } from "./figure-rows.js";
import type { Change, Delay } from "./figures.js";
import { limitUnder } from "./limit-under.js";
import { coolestLimit, coveringLimit } from "./temperature-columns.js";
import { type Fit, STANDARD_LOAD, type UsableRow, bestFit, sourceOf, supplyRemark } from "./usable-rows.js";

/** What one row says of one arc, in ns, under the circuit's conditions. */
interface ArcLimits extends Fit {
  readonly row: FigureRow;
  readonly min: number;
  readonly minimumIs: "stated" | "assumed";
  readonly typical: number;
  readonly max: number;
  /** Column and remarks for the maximum, and for the minimum. */
  readonly maxColumn: readonly (string | undefined)[];
  readonly minColumn: readonly (string | undefined)[];
}

/** Whether a row speaks of the arc that is asked for. */
export type ArcFilter = (delay: DelayRow) => boolean;

/**
 * The limits of an arc from every row that gives them: the slowest maximum and the fastest minimum among the best-fitting
 * rows. Undefined where no row covers the conditions.
 */
export function chooseDelay(
  figures: FamilyFigures,
  rows: readonly UsableRow[],
  speaksOf: ArcFilter,
  change: Change,
  conditions: Conditions,
): Delay | undefined {
  const found = rows.flatMap((usable) =>
    usable.row.delays.flatMap((delay) =>
      speaksOf(delay) && delay.changes.includes(change)
        ? (limitsOf(figures.family, usable, delay, change, conditions) ?? [])
        : [],
    ),
  );
  const candidates = bestFit(found);
  const [first] = candidates;
  if (first === undefined) return undefined;
  const slowest = candidates.reduce((a, b) => (b.max > a.max ? b : a), first);
  const fastest = candidates.reduce((a, b) => (b.min < a.min ? b : a), first);
  const min = Math.min(fastest.min, slowest.max);
  return {
    min: ns(min),
    typical: ns(Math.min(Math.max(slowest.typical, min), slowest.max)),
    max: ns(slowest.max),
    minimumIs: fastest.minimumIs,
    source: sourceOf(figures, slowest.row, slowest.fromMemory, slowest.maxColumn),
    ...(fastest.row !== slowest.row && {
      minimumSource: sourceOf(figures, fastest.row, fastest.fromMemory, fastest.minColumn),
    }),
  };
}

/** Delays of a ripple counter's later stage: the first stage and `stages` times the delay from one stage to the next. */
export function addStages(first: Delay, stage: Delay, stages: number): Delay {
  const sum = (key: "min" | "typical" | "max") => (first[key] + stages * stage[key]) as Fs;
  return {
    min: sum("min"),
    typical: sum("typical"),
    max: sum("max"),
    minimumIs: first.minimumIs === "assumed" || stage.minimumIs === "assumed" ? "assumed" : "stated",
    source: {
      ...first.source,
      fromMemory: first.source.fromMemory || stage.source.fromMemory,
      column: `${first.source.column ?? ""}, first stage and ${stages} times stage to stage`,
    },
  };
}

function limitsOf(
  family: string,
  usable: UsableRow,
  delay: DelayRow,
  change: Change,
  conditions: Conditions,
): ArcLimits | undefined {
  const { row } = usable;
  const covering = limitUnder(family, usable, delay, "max", conditions, (value, factor) => value * factor);
  if (covering === undefined) return undefined;
  const load = loadOf(family, delay.load ?? row.load, change);
  const coolest = coolestLimit(delay, "max")?.value ?? covering.value;
  const typical = delay.typ25 ?? TYPICAL_OVER_MAXIMUM * coolest;

  const stated = usable.fit === "allowed" ? undefined : coveringLimit(delay, "min", conditions.ambientCelsius);
  const assumed = Math.min(
    conditions.unstatedMinimum.fractionOfTypical * typical,
    coolestLimit(delay, "min")?.value ?? Infinity,
  );
  const fraction = conditions.unstatedMinimum.fractionOfTypical;
  const common = [`${row.volts} V`, load.text, delay.when, supplyRemark(usable, conditions)];
  return {
    fit: usable.fit,
    volts: row.volts,
    loadRank: load.rank,
    fromMemory: row.fromMemory || delay.fromMemory,
    row,
    min: stated?.value ?? assumed,
    minimumIs: stated ? "stated" : "assumed",
    typical: typical + TYPICAL_OVER_MAXIMUM * load.added,
    max: covering.value + load.added,
    maxColumn: [covering.column, ...common, covering.allowance],
    minColumn: [stated?.column ?? `minimum not stated, ${fraction} of typical assumed`, ...common],
  };
}

/** How a row's test load compares with the standard one: its rank (0 best), the ns to add, the words for it. */
function loadOf(family: string, load: number | undefined, change: Change) {
  if (load === undefined) return { rank: 3, added: 0, text: "load not stated" };
  const text = `${load} pF`;
  if (load === STANDARD_LOAD) return { rank: 0, added: 0, text };
  // Letting go of a net is timed to the point where the output stops driving; sheets use a small load for it.
  if (change.endsWith("-to-z")) return { rank: 1, added: 0, text };
  const slope = loadSlope(family);
  if (load > STANDARD_LOAD || slope === undefined) return { rank: 2, added: 0, text };
  const perPicofarad = change === "rise" || change === "z-to-high" ? slope.rise : slope.fall;
  const added = perPicofarad * (STANDARD_LOAD - load);
  return {
    rank: 1,
    added,
    text: `${text} plus ${perPicofarad} ns/pF to ${STANDARD_LOAD} pF (${slope.source.document})`,
  };
}
