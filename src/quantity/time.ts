/**
 * Times in whole femtoseconds. A frame of video is about 1.7e13 fs, far inside the 9.0e15 that a double holds exactly, so
 * sums and differences of times are exact.
 */
export type Fs = number & { readonly unit: "fs" };

/** One nanosecond in femtoseconds. */
export const FS_PER_NS = 1_000_000;

/** A time from a whole number of femtoseconds. Throws RangeError on a fraction or a value beyond exact integers. */
export function fs(value: number): Fs {
  if (!Number.isSafeInteger(value)) throw new RangeError(`not a whole number of femtoseconds: ${value}`);
  return value as Fs;
}

/**
 * A time of a run that may last longer than the 9 s up to which a double holds every femtosecond: rounded to the nearest that
 * it does hold, which is 2 fs apart from there on and 0.5 ps after an hour. Throws RangeError unless it is finite.
 */
export function longFs(value: number): Fs {
  if (!Number.isFinite(value)) throw new RangeError(`not a time: ${value}`);
  return Math.round(value) as Fs;
}

/** A time from nanoseconds as printed in a data sheet; rounded to the nearest femtosecond. */
export function ns(value: number): Fs {
  return fs(Math.round(value * FS_PER_NS));
}

/** A time in nanoseconds, for printing only. */
export function inNs(time: Fs): number {
  return time / FS_PER_NS;
}

/** Prints a time in the unit a person would choose, with at most `digits` decimals: `38 ns`, `1.27 µs`, `16.68 ms`. */
export function formatTime(time: Fs, digits = 2): string {
  const size = Math.abs(time);
  if (size >= 1e12) return `${trim(time / 1e12, digits)} ms`;
  if (size >= 1e9) return `${trim(time / 1e9, digits)} µs`;
  return `${trim(time / FS_PER_NS, digits)} ns`;
}

function trim(value: number, digits: number): string {
  const text = value.toFixed(digits);
  const short = text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  return short === "-0" ? "0" : short;
}
