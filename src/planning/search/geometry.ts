import type { Raster } from "../../raster/index.js";
import { TOLERANCE, fieldRate, inHertz, lineRate } from "../../raster/index.js";
import type { Counts } from "../design.js";

/** A raster that is not interlaced with its rates as numbers, worked out once. */
export interface RasterNumbers<R extends Raster = Raster> {
  readonly raster: R;
  readonly dotHertz: number;
  readonly lineHertz: number;
  readonly fieldHertz: number;
}

export function rasterNumbers<R extends Raster>(raster: R): RasterNumbers<R> {
  return {
    raster,
    dotHertz: inHertz(raster.dotClock),
    lineHertz: inHertz(lineRate(raster)),
    fieldHertz: inHertz(fieldRate(raster)),
  };
}

/** A line and a frame counted in whole cells and lines, and how far both are off the raster. */
export interface CountedRaster {
  readonly line: Counts;
  readonly frame: Counts;
  /** Signed, in per cent of the raster's. */
  readonly lineRatePercent: number;
  readonly frameRatePercent: number;
  readonly hSyncPercent: number;
}

/** Why a raster cannot be counted in cells of a length. */
export type NotCounted = "line rate" | "horizontal sync" | "porches";

/** In cells: an active time this much shorter than whole cells still holds them. Published figures are rounded. */
const ROUNDING = 0.02;

/**
 * Counts a raster in cells of `cellHertz` a second. The active part is all that the raster shows. `lines` replaces the
 * raster's lines a frame; what that adds or takes is front porch. Line and frame rate may be off by `mostPercent`.
 */
export function countRaster(
  { raster, dotHertz, lineHertz, fieldHertz }: RasterNumbers,
  cellHertz: number,
  mostPercent: number,
  lines: number = raster.v.total,
): CountedRaster | NotCounted {
  const { h, v } = raster;
  const total = Math.round(cellHertz / lineHertz);
  const lineRatePercent = (cellHertz / total / lineHertz - 1) * 100;
  if (total < 4 || Math.abs(lineRatePercent) > mostPercent) return "line rate";
  const frameRatePercent = (cellHertz / total / lines / fieldHertz - 1) * 100;
  if (Math.abs(frameRatePercent) > mostPercent) return "line rate";

  // What the standard says in dots, in cells of ours: times are kept, not shares of the line.
  const cellsPerDot = cellHertz / dotHertz;
  const sync = Math.max(1, Math.round(h.sync * cellsPerDot));
  const hSyncPercent = (sync / (h.sync * cellsPerDot) - 1) * 100;
  if (Math.abs(hSyncPercent) > TOLERANCE.hSyncWidthPercent) return "horizontal sync";
  const active = Math.floor(h.active * cellsPerDot + ROUNDING);
  const untilPicture = (h.sync + h.backPorch + h.borderEachSide) * cellsPerDot;
  const free = total - active - sync;
  const frontLines = v.frontPorch + v.borderEachSide + (lines - v.total);
  if (active < 1 || free < 2 || frontLines < 0) return "porches";
  const backPorch = Math.min(Math.max(1, Math.round(untilPicture) - sync), free - 1);
  return {
    line: { active, frontPorch: free - backPorch, sync, backPorch },
    frame: { active: v.active, frontPorch: frontLines, sync: v.sync, backPorch: v.backPorch + v.borderEachSide },
    lineRatePercent,
    frameRatePercent,
    hSyncPercent,
  };
}

/** The same with a smaller picture in the middle: what is left of the active part joins the porches. */
export function shrink(counts: Counts, active: number): Counts {
  const left = counts.active - active;
  if (left < 0) throw new RangeError(`${active} of ${counts.active} cannot be shown`);
  const before = Math.floor(left / 2);
  return {
    active,
    frontPorch: counts.frontPorch + (left - before),
    sync: counts.sync,
    backPorch: counts.backPorch + before,
  };
}
