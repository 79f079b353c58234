import { inHertz, timeOfCycles } from "./frequency.js";
import type { Lock } from "./lock.js";
import { publishedRasters } from "./published.js";
import { type Polarity, type Raster, fieldRate, lineRate, linesPerField } from "./raster.js";

/** How what was measured differs from a raster; positive means more than the raster says. */
export interface Comparison<R extends Raster = Raster> {
  readonly raster: R;
  readonly lineRatePercent: number;
  /** By how much a line is longer, in dots of the raster. */
  readonly lineDots: number;
  readonly fieldRatePercent: number;
  /** In lines from one vertical sync to the next. */
  readonly lines: number;
  readonly hSyncWidthPercent: number;
  /** In dots of the raster. */
  readonly hSyncWidthDots: number;
  readonly vSyncWidthPercent: number;
  readonly vSyncWidthLines: number;
  readonly hPolarityAgrees: boolean;
  readonly vPolarityAgrees: boolean;
  /** Everything is inside `TOLERANCE`. */
  readonly meets: boolean;
}

/** What a signal may differ by and still meet a raster. */
export const TOLERANCE = {
  /** Of line and field rate. VESA DMT allows the dot clock 0.5 % (from memory). */
  ratePercent: 0.5,
  /** Of the width of horizontal sync: our own choice, wide enough for delays that differ between its two edges. */
  hSyncWidthPercent: 10,
  /** Of the width of vertical sync, in lines: our own choice. Half a line more or less stands in published tables. */
  vSyncWidthLines: 0.6,
} as const;

/** Rates closer than this cannot be told apart with ordinary crystals (100 ppm each; common practice). */
const SAME_RATE_PERCENT = 0.02;
/** Sync widths closer than this are taken for the same number. */
const SAME_WIDTH_PERCENT = 1;

/** Compares what was measured with one raster. */
export function compare<R extends Raster>(measured: Lock, raster: R): Comparison<R> {
  const hSyncFs = timeOfCycles(raster.dotClock, raster.h.sync);
  const dotFs = 1e15 / inHertz(raster.dotClock);
  const difference = {
    raster,
    lineRatePercent: percent(measured.lineRateHz, inHertz(lineRate(raster))),
    lineDots: raster.h.total * (inHertz(lineRate(raster)) / measured.lineRateHz - 1),
    fieldRatePercent: percent(measured.fieldRateHz, inHertz(fieldRate(raster))),
    lines: measured.linesPerField - linesPerField(raster),
    hSyncWidthPercent: percent(measured.h.width, hSyncFs),
    hSyncWidthDots: (measured.h.width - hSyncFs) / dotFs,
    vSyncWidthPercent: percent(measured.vSyncLines, raster.v.sync),
    vSyncWidthLines: measured.vSyncLines - raster.v.sync,
    hPolarityAgrees: hasPolarity(measured, measured.h.polarity, raster.h.polarity),
    vPolarityAgrees: hasPolarity(measured, measured.v.polarity, raster.v.polarity),
  };
  return { ...difference, meets: isInsideTolerance(difference) };
}

/** One net has one polarity, so of a composite sync it tells no raster from another: it is negative (common practice). */
function hasPolarity({ composite }: Lock, measured: Polarity, wanted: Polarity): boolean {
  return measured === (composite ? "negative" : wanted);
}

function isInsideTolerance(difference: Omit<Comparison, "meets">): boolean {
  return (
    Math.abs(difference.lineRatePercent) <= TOLERANCE.ratePercent &&
    Math.abs(difference.fieldRatePercent) <= TOLERANCE.ratePercent &&
    difference.lines === 0 &&
    Math.abs(difference.hSyncWidthPercent) <= TOLERANCE.hSyncWidthPercent &&
    Math.abs(difference.vSyncWidthLines) <= TOLERANCE.vSyncWidthLines &&
    difference.hPolarityAgrees &&
    difference.vPolarityAgrees
  );
}

/** Which published raster a signal is. */
export interface Recognition {
  /** The nearest published raster; see `meets` whether the signal is inside tolerance. */
  readonly best: Comparison;
  /** Published rasters that the syncs cannot tell from `best`: their video may stand elsewhere. */
  readonly alike: readonly Comparison[];
  /** Further published rasters that the signal meets as well, nearest first. */
  readonly alsoMet: readonly Comparison[];
}

/** Names the published raster that a locked signal is nearest to. */
export function recognise(measured: Lock): Recognition {
  const all = publishedRasters.map((raster) => compare(measured, raster));
  const sorted = [...all].sort((a, b) => Number(b.meets) - Number(a.meets) || distance(a) - distance(b));
  const [nearest] = sorted;
  if (!nearest) throw new RangeError("there are no published rasters to compare with");
  // Of rasters that the syncs cannot tell apart the one in the first table gives its name to all.
  const [best = nearest, ...alike] = all.filter((other) => isAlike(nearest, other));
  const named = new Set([best, ...alike]);
  return { best, alike, alsoMet: sorted.filter((other) => other.meets && !named.has(other)) };
}

function isAlike(a: Comparison, b: Comparison): boolean {
  return (
    Math.abs(a.lineRatePercent - b.lineRatePercent) <= SAME_RATE_PERCENT &&
    Math.abs(a.fieldRatePercent - b.fieldRatePercent) <= SAME_RATE_PERCENT &&
    a.lines === b.lines &&
    Math.abs(a.hSyncWidthPercent - b.hSyncWidthPercent) <= SAME_WIDTH_PERCENT &&
    a.vSyncWidthLines === b.vSyncWidthLines &&
    a.hPolarityAgrees === b.hPolarityAgrees &&
    a.vPolarityAgrees === b.vPolarityAgrees
  );
}

/** How far a signal is from a raster: each difference over its tolerance, added up. */
function distance(difference: Comparison): number {
  return (
    Math.abs(difference.lineRatePercent) / TOLERANCE.ratePercent +
    Math.abs(difference.fieldRatePercent) / TOLERANCE.ratePercent +
    Math.abs(difference.lines) +
    Math.abs(difference.hSyncWidthPercent) / TOLERANCE.hSyncWidthPercent +
    Math.abs(difference.vSyncWidthLines) / TOLERANCE.vSyncWidthLines +
    (difference.hPolarityAgrees ? 0 : 4) +
    (difference.vPolarityAgrees ? 0 : 4)
  );
}

function percent(measured: number, nominal: number): number {
  return (measured / nominal - 1) * 100;
}
