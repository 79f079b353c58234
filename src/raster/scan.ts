import type { Lock } from "./lock.js";
import { type Raster, dotsBeforePicture, fieldsPerFrame, linesBeforePicture } from "./raster.js";

/** One line as the beam draws it. */
export interface ScanLine {
  /** Time of the leading edge of its horizontal sync, in femtoseconds. */
  readonly startFs: number;
  /** Row of the raster: 0 is the first active one, those before are negative. Rows of both fields when interlaced. */
  readonly row: number;
}

/** One frame as the beam draws it: where on the screen every moment falls. */
export interface Scan {
  readonly raster: Raster;
  /** What a dot lasts at the line rate that was measured, in femtoseconds and parts of one. */
  readonly dotFs: number;
  /** Dots from the start of a line to the first active dot. */
  readonly firstDot: number;
  readonly lines: readonly ScanLine[];
}

/** Where the picture stands against the place that the raster gives it; positive is right and down. */
export interface Displacement {
  /** Fractions come from the delay between sync and video. */
  readonly dots: number;
  readonly rows: number;
}

/** Number of whole frames on record. */
export function countFrames(lock: Lock, raster: Raster): number {
  return Math.floor((lock.v.leadingFs.length - 1) / fieldsPerFrame(raster));
}

/**
 * Lays a raster over frame `frame` (from 0) of a locked signal. A line that has no sync of its own is drawn where it would
 * come, as a monitor's oscillator runs on. Throws RangeError when that frame is not on record.
 */
export function scanFrame(lock: Lock, raster: Raster, frame: number): Scan {
  const fields = fieldsPerFrame(raster);
  if (!(frame >= 0 && frame < countFrames(lock, raster))) {
    throw new RangeError(`frame ${frame} is not among the ${countFrames(lock, raster)} on record`);
  }
  const lines: ScanLine[] = [];
  for (let field = frame * fields; field < (frame + 1) * fields; field++) lines.push(...scanField(lock, raster, field));
  return { raster, dotFs: lock.h.period / raster.h.total, firstDot: dotsBeforePicture(raster), lines };
}

function scanField(lock: Lock, raster: Raster, field: number): ScanLine[] {
  const { period } = lock.h;
  const [fieldStart, fieldEnd] = [lock.v.leadingFs[field], lock.v.leadingFs[field + 1]];
  if (fieldStart === undefined || fieldEnd === undefined) return [];
  // Where vertical sync stands in a line differs between circuits; a monitor counts the line whose start is nearest.
  const lag = lock.vSyncLag * period;
  const margin = period / 4;
  const rowsPerLine = fieldsPerFrame(raster);
  const starts = steadied(lineStarts(lock, fieldStart - lag - margin, fieldEnd - lag - margin), period);
  return starts.map((startFs) => {
    const linesDown = (startFs - (fieldStart - lag)) / period - linesBeforePicture(raster);
    return { startFs, row: Math.round(rowsPerLine * linesDown) };
  });
}

/** Starts of lines in a span: the sync edges, with missing ones put in and early ones left out. */
function lineStarts({ h: { leadingFs, period } }: Lock, fromFs: number, toFs: number): number[] {
  const starts: number[] = [];
  let next = firstAtOrAfter(leadingFs, fromFs);
  // Where no edge is near, the last one before the span, or else the first on record, says where lines would start.
  const reference = leadingFs[next] ?? leadingFs.at(-1) ?? fromFs;
  let time = reference - period * Math.floor((reference - fromFs) / period);
  while (time < toFs) {
    starts.push(time);
    const due = time + period;
    while ((leadingFs[next] ?? Infinity) < due - period / 4) next++;
    const edge = leadingFs[next] ?? Infinity;
    time = edge <= due + period / 4 ? edge : due;
  }
  return starts;
}

/** Lines before and after one that steady it, and how far from it, in lines, they may stand to count. Our own choice. */
const STEADIED_BY = 8;
const MOST_STEP = 1 / 400;

/**
 * A monitor's line oscillator follows the mean of many syncs, so that single edges that come a little early or late, or in
 * the steps of an instrument's clock, do not move their line. What stands far out stays where it is.
 */
function steadied(starts: readonly number[], period: number): number[] {
  const [first = 0] = starts;
  const late = starts.map((start, line) => start - first - line * period);
  return starts.map((start, line) => {
    const own = late[line] ?? 0;
    const near = late
      .slice(Math.max(0, line - STEADIED_BY), line + STEADIED_BY + 1)
      .filter((other) => Math.abs(other - own) < MOST_STEP * period);
    return start - own + near.reduce((sum, other) => sum + other, 0) / near.length;
  });
}

function firstAtOrAfter(times: Float64Array, fromFs: number): number {
  const index = times.findIndex((time) => time >= fromFs);
  return index < 0 ? times.length : index;
}
