import { type Fs, type Hertz, fs } from "../quantity/index.js";
import { divide, inHertz, multiply, timeOfCycles } from "./frequency.js";

/** Bits and bytes that a picture takes in memory, rows packed without gaps. */
export function pictureMemory(width: number, height: number, bitsPerDot: number): { bits: number; bytes: number } {
  const bits = width * height * bitsPerDot;
  return { bits, bytes: Math.ceil(bits / 8) };
}

/** What showing a picture takes from the memory, averaged over the whole time, blanking included. */
export interface DisplayDemand {
  readonly dotsPerSecond: number;
  readonly bitsPerSecond: number;
  readonly bytesPerSecond: number;
}

/** The demand of a picture that is read once in every frame. */
export function displayDemand(
  width: number,
  height: number,
  bitsPerDot: number,
  framesPerSecond: Hertz,
): DisplayDemand {
  const dotsPerSecond = inHertz(multiply(framesPerSecond, width * height));
  const bitsPerSecond = dotsPerSecond * bitsPerDot;
  return { dotsPerSecond, bitsPerSecond, bytesPerSecond: bitsPerSecond / 8 };
}

/** How long the dots of one byte stay on the screen: the time in which the next byte must be fetched. */
export function byteTime(dotClock: Hertz, dotsPerByte: number): Fs {
  return timeOfCycles(dotClock, dotsPerByte);
}

/** How long each of `slots` equal slots is into which the time of one byte is cut, rounded down to a femtosecond. */
export function slotTime(dotClock: Hertz, dotsPerByte: number, slots: number): Fs {
  if (!Number.isInteger(slots) || slots < 1) throw new RangeError(`cannot cut a byte's time into ${slots} slots`);
  return fs(Math.floor(byteTime(dotClock, dotsPerByte) / slots));
}

/**
 * The most dots that a line can have when lines must not come slower than `lineRate`, rounded down to a multiple of what a
 * counter counts at once (8 for whole bytes).
 */
export function mostDotsInLine(dotClock: Hertz, lineRate: Hertz, multipleOf: number): number {
  const exact = (dotClock.numerator * lineRate.denominator) / (dotClock.denominator * lineRate.numerator);
  return Number(exact) - (Number(exact) % multipleOf);
}

/** What comes out of each stage of a chain of counters. */
export function divideInTurn(input: Hertz, moduli: readonly number[]): readonly Hertz[] {
  const stages: Hertz[] = [];
  for (const modulus of moduli) stages.push(divide(stages.at(-1) ?? input, modulus));
  return stages;
}
