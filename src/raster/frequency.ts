import { type Fs, type Hertz, fs } from "../quantity/index.js";

const FS_PER_SECOND = 10n ** 15n;

/**
 * The frequency of so many hertz, exact to six decimals: 12587.5 is 25175/2. Throws RangeError when `value` is not a
 * number above zero.
 */
export function hertz(value: number): Hertz {
  if (!(value > 0) || !Number.isFinite(value)) throw new RangeError(`not a frequency above zero: ${value} Hz`);
  let denominator = 1;
  while (!Number.isInteger(value * denominator) && denominator < 1e6) denominator *= 10;
  return lowestTerms(BigInt(Math.round(value * denominator)), BigInt(denominator));
}

/** The frequency whose period is exactly so many picoseconds (a whole number above zero; else RangeError). */
export function fromPeriodPs(periodPs: number): Hertz {
  if (!Number.isSafeInteger(periodPs) || periodPs <= 0) throw new RangeError(`not a period above zero: ${periodPs} ps`);
  return lowestTerms(10n ** 12n, BigInt(periodPs));
}

/** What a counter that divides by `modulus` (a whole number above zero; else RangeError) gives. */
export function divide(clock: Hertz, modulus: number): Hertz {
  if (!Number.isSafeInteger(modulus) || modulus <= 0) throw new RangeError(`cannot divide a clock by ${modulus}`);
  return lowestTerms(clock.numerator, clock.denominator * BigInt(modulus));
}

/** What a frequency multiplied by a whole number above zero gives; else RangeError. */
export function multiply(clock: Hertz, factor: number): Hertz {
  if (!Number.isSafeInteger(factor) || factor <= 0) throw new RangeError(`cannot multiply a clock by ${factor}`);
  return lowestTerms(clock.numerator * BigInt(factor), clock.denominator);
}

/** In hertz, rounded to the nearest double. For printing and comparing, not for adding up. */
export function inHertz(clock: Hertz): number {
  return Number(clock.numerator) / Number(clock.denominator);
}

/** How long `cycles` cycles last (`cycles` may be a half), rounded to the nearest femtosecond. */
export function timeOfCycles(clock: Hertz, cycles: number): Fs {
  if (!Number.isInteger(cycles * 2)) throw new RangeError(`not a whole or half number of cycles: ${cycles}`);
  const halves = BigInt(cycles * 2);
  const divisor = 2n * clock.numerator;
  const exact = halves * FS_PER_SECOND * clock.denominator;
  return fs(Number((2n * exact + divisor) / (2n * divisor)));
}

/** How many cycles, whole and parts, fit in a time. */
export function cyclesInTime(clock: Hertz, time: Fs): number {
  return (time * inHertz(clock)) / 1e15;
}

function lowestTerms(numerator: bigint, denominator: bigint): Hertz {
  let [a, b] = [numerator, denominator];
  while (b !== 0n) [a, b] = [b, a % b];
  return { numerator: numerator / a, denominator: denominator / a };
}
