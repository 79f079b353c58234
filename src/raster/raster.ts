import type { Fs, Hertz } from "../quantity/index.js";
import { cyclesInTime, divide, inHertz, multiply, timeOfCycles } from "./frequency.js";

/** The level of a sync net while the sync pulse lasts. */
export type Polarity = "positive" | "negative";

/**
 * One direction of a raster in the order in which it passes: active, border, front porch, sync, back porch, border.
 * Counted in dots (horizontally) or lines (vertically).
 */
export interface AxisTiming {
  readonly active: number;
  readonly frontPorch: number;
  readonly sync: number;
  readonly backPorch: number;
  /** Width of the border on one side; both sides have it, and it is part of the total. */
  readonly borderEachSide: number;
  readonly total: number;
  readonly polarity: Polarity;
}

/** A raster as it is on the wire. */
export interface Raster {
  /** What a circuit file calls it: `dmt-0x04`. */
  readonly id: string;
  readonly name: string;
  /** The standard or table that publishes it: `VESA DMT`. */
  readonly family: string;
  readonly dotClock: Hertz;
  /** In dots. */
  readonly h: AxisTiming;
  /**
   * In lines on the wire. When interlaced, `active` and `total` are those of the frame (two fields), the rest those of one
   * field; half lines occur.
   */
  readonly v: AxisTiming;
  readonly interlace: boolean;
  /** Lines on the wire that show one row of the picture, and dots that show one of its columns. */
  readonly rowRepeat: number;
  readonly dotRepeat: number;
  /** Width to height of the screen, where the standard says so: `4:3`. */
  readonly aspect?: string;
  /** Version of the CVT reduced blanking that the raster uses, absent when it uses none. */
  readonly reducedBlanking?: number;
  readonly note?: string;
  /** Where the numbers were published. */
  readonly source: string;
}

/** Lines a second. */
export function lineRate(raster: Raster): Hertz {
  return divide(raster.dotClock, raster.h.total);
}

/** Whole pictures a second; an interlaced raster needs two fields for one. */
export function frameRate(raster: Raster): Hertz {
  return divide(lineRate(raster), raster.v.total);
}

/** Vertical syncs a second: the frame rate, or twice that when interlaced. */
export function fieldRate(raster: Raster): Hertz {
  return multiply(frameRate(raster), fieldsPerFrame(raster));
}

export function fieldsPerFrame(raster: Raster): 1 | 2 {
  return raster.interlace ? 2 : 1;
}

/** Lines from one vertical sync to the next: a whole number, or half more when interlaced. */
export function linesPerField(raster: Raster): number {
  return raster.v.total / fieldsPerFrame(raster);
}

/** Dots from the leading edge of horizontal sync to the first active dot. */
export function dotsBeforePicture(raster: Raster): number {
  return raster.h.sync + raster.h.backPorch + raster.h.borderEachSide;
}

/** Lines from the leading edge of vertical sync to the first active line. */
export function linesBeforePicture(raster: Raster): number {
  return raster.v.sync + raster.v.backPorch + raster.v.borderEachSide;
}

/** How long a number of dots or lines lasts, to the nearest femtosecond. Rounded once, so sums of parts may differ by 1. */
export function timeOfDots(raster: Raster, dots: number): Fs {
  return timeOfCycles(raster.dotClock, dots);
}

export function timeOfLines(raster: Raster, lines: number): Fs {
  return timeOfCycles(raster.dotClock, lines * raster.h.total);
}

/** How long each part of one direction lasts. */
export interface AxisTimes {
  readonly active: Fs;
  readonly frontPorch: Fs;
  readonly sync: Fs;
  readonly backPorch: Fs;
  readonly borderEachSide: Fs;
  readonly total: Fs;
}

/** How long the parts of a line last. */
export function lineTimes(raster: Raster): AxisTimes {
  return axisTimes(raster.h, (dots) => timeOfDots(raster, dots));
}

/** How long the parts of a frame last; of a field where `Raster.v` counts those of a field. */
export function frameTimes(raster: Raster): AxisTimes {
  return axisTimes(raster.v, (lines) => timeOfLines(raster, lines));
}

function axisTimes(axis: AxisTiming, time: (count: number) => Fs): AxisTimes {
  return {
    active: time(axis.active),
    frontPorch: time(axis.frontPorch),
    sync: time(axis.sync),
    backPorch: time(axis.backPorch),
    borderEachSide: time(axis.borderEachSide),
    total: time(axis.total),
  };
}

/** The parts of a whole that are active, in each direction and in all: 0 to 1. The rest is blanking. */
export interface ActiveShare {
  readonly line: number;
  readonly frame: number;
  readonly both: number;
}

/** The share of the time in which the screen needs the memory; a processor may have the rest undisturbed. */
export function activeShare(
  h: Pick<AxisTiming, "active" | "total">,
  v: Pick<AxisTiming, "active" | "total">,
): ActiveShare {
  const line = h.active / h.total;
  const frame = v.active / v.total;
  return { line, frame, both: line * frame };
}

/** Width over height of one dot on a screen of the given shape whose picture is `rows` lines high. */
export function dotShape(dotClock: Hertz, activeTime: Fs, rows: number, screen: { width: number; height: number }) {
  const dotsAcross = cyclesInTime(dotClock, activeTime);
  return (screen.width / screen.height) * (rows / dotsAcross);
}

/** What is wrong with the numbers of a raster, one sentence each; empty when they add up. */
export function rasterProblems(raster: Raster): readonly string[] {
  const problems = [...axisProblems("horizontally", raster.h, 1, "dots"), ...verticalProblems(raster)];
  if (inHertz(raster.dotClock) <= 0) problems.push("the dot clock is not above zero");
  return problems;
}

function verticalProblems(raster: Raster): readonly string[] {
  const { v } = raster;
  if (!raster.interlace) return axisProblems("vertically", v, 1, "lines");
  // Of two fields one usually has half a line more, in a porch, than its whole lines say.
  const field = { ...v, active: v.active / 2, total: v.total / 2 };
  const missing = v.total / 2 - partsOf(field);
  return axisProblems(
    "vertically",
    missing === 0.5 ? { ...field, frontPorch: v.frontPorch + 0.5 } : field,
    0.5,
    "lines",
  );
}

function axisProblems(where: string, axis: AxisTiming, step: number, unit: string): string[] {
  const problems: string[] = [];
  for (const part of ["active", "frontPorch", "sync", "backPorch", "borderEachSide", "total"] as const) {
    const count = axis[part];
    const least = part === "active" || part === "sync" || part === "total" ? step : 0;
    if (!(count >= least) || !Number.isInteger(count / step))
      problems.push(`${where}, ${part} cannot be ${count} ${unit}`);
  }
  const sum = partsOf(axis);
  if (sum !== axis.total)
    problems.push(`${where}, the parts add up to ${sum} ${unit}, not to the total of ${axis.total}`);
  return problems;
}

function partsOf(axis: AxisTiming): number {
  return axis.active + axis.frontPorch + axis.sync + axis.backPorch + 2 * axis.borderEachSide;
}
