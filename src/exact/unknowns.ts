import type { Fs, Range } from "../quantity/index.js";

/** The oscillator's period and high time are unknowns like the delays, and have the first numbers. */
export const PERIOD = 0;
export const HIGH_TIME = 1;

/** A constant of the board that nobody knows: a delay, or a time of the oscillator. In femtoseconds. */
export interface Unknown {
  /** Unique: `U3 A rise to Y fall`, `wire U3 Y to U4 B`, `period`, `high time`. */
  readonly name: string;
  readonly min: number;
  readonly typical: number;
  readonly max: number;
}

/** A duty as a fraction of whole numbers. */
export interface Share {
  readonly numerator: number;
  readonly denominator: number;
}

/** A sum of whole multiples of unknowns: a time after power-up, or the difference of two. Sorted by unknown. */
export interface Linear {
  readonly unknowns: readonly number[];
  readonly factors: readonly number[];
}

export const ZERO: Linear = { unknowns: [], factors: [] };

/** Shares are taken in millionths, outwards, which is finer than any sheet states a duty. */
const SHARE_PARTS = 1_000_000;
/** What the product of a decimal share and its parts may be off by. */
const SHARE_SLACK = 1e-6;

/** The unknowns of a circuit, numbered as they are asked for, and what their limits say of sums of them. */
export class Unknowns {
  readonly list: Unknown[] = [];
  readonly duty: { readonly min: Share; readonly max: Share };
  readonly #numbers = new Map<string, number>();

  /** `period` in femtoseconds; `duty` as high time over period. */
  constructor(period: Range<Fs>, duty: Range) {
    this.duty = {
      min: shareOf(Math.floor(duty.min * SHARE_PARTS + SHARE_SLACK)),
      max: shareOf(Math.ceil(duty.max * SHARE_PARTS - SHARE_SLACK)),
    };
    this.number("period", { min: period.min, typical: (period.min + period.max) / 2, max: period.max });
    const high = { min: Math.floor(duty.min * period.min), max: Math.ceil(duty.max * period.max) };
    this.number("high time", { ...high, typical: (high.min + high.max) / 2 });
  }

  /** The number of the unknown of that name. */
  number(name: string, limits: Omit<Unknown, "name">): number {
    const known = this.#numbers.get(name);
    if (known !== undefined) return known;
    const number = this.list.push({ name, ...limits }) - 1;
    this.#numbers.set(name, number);
    return number;
  }

  at(number: number): Unknown {
    const unknown = this.list[number];
    if (!unknown) throw new RangeError(`no unknown ${number}`);
    return unknown;
  }

  /** The least that a sum can be by the limits alone, rounded down to a whole femtosecond. */
  least(sum: Linear): number {
    return Math.floor(this.#end(sum, 1));
  }

  /** The most that a sum can be by the limits alone, rounded up. */
  most(sum: Linear): number {
    return Math.ceil(-this.#end(sum, -1));
  }

  /** Values within the limits, each so far between its ends as the next share says, 0 to 1. */
  some(numbers: readonly number[], share: () => number): [unknown: number, value: number][] {
    const period = this.#between(this.at(PERIOD), share());
    const { min, max } = this.duty;
    const high = (period * min.numerator) / min.denominator;
    const mostHigh = (period * max.numerator) / max.denominator;
    return numbers.map((number) => {
      if (number === PERIOD) return [number, period];
      return [number, this.#between(number === HIGH_TIME ? { min: high, max: mostHigh } : this.at(number), share())];
    });
  }

  #between({ min, max }: { readonly min: number; readonly max: number }, share: number): number {
    return min + share * (max - min);
  }

  /** At typical delays and the middle of the oscillator's limits. */
  typical(sum: Linear): number {
    return sum.unknowns.reduce((all, unknown, i) => all + (sum.factors[i] ?? 0) * this.at(unknown).typical, 0);
  }

  /** The least value of the sum times `sign`. */
  #end({ unknowns, factors }: Linear, sign: 1 | -1): number {
    let [total, periods, highs] = [0, 0, 0];
    for (let i = 0; i < unknowns.length; i++) {
      const unknown = unknowns[i] ?? 0;
      const factor = sign * (factors[i] ?? 0);
      if (unknown === PERIOD) periods = factor;
      else if (unknown === HIGH_TIME) highs = factor;
      else {
        const { min, max } = this.at(unknown);
        total += factor * (factor > 0 ? min : max);
      }
    }
    // For one period the high time is at the end of the duty that counts; what is left is linear in the period.
    const { numerator, denominator } = highs > 0 ? this.duty.min : this.duty.max;
    const whole = periods * denominator + highs * numerator;
    const { min, max } = this.at(PERIOD);
    return total + (whole * (whole > 0 ? min : max)) / denominator;
  }
}

/** So many millionths in lowest terms. */
function shareOf(parts: number): Share {
  let [a, b] = [parts, SHARE_PARTS];
  while (b > 0) [a, b] = [b, a % b];
  return { numerator: parts / a, denominator: SHARE_PARTS / a };
}

/** A sum with one unknown more. */
export function plus({ unknowns, factors }: Linear, unknown: number, factor = 1): Linear {
  const index = unknowns.findIndex((other) => other >= unknown);
  if (index < 0) return { unknowns: [...unknowns, unknown], factors: [...factors, factor] };
  const known = unknowns[index] === unknown ? (factors[index] ?? 0) : undefined;
  const changed = (known ?? 0) + factor;
  const skipped = index + (known === undefined ? 0 : 1);
  return {
    unknowns: [...unknowns.slice(0, index), ...(changed === 0 ? [] : [unknown]), ...unknowns.slice(skipped)],
    factors: [...factors.slice(0, index), ...(changed === 0 ? [] : [changed]), ...factors.slice(skipped)],
  };
}

/** One sum less another; what both share cancels. */
export function less(one: Linear, other: Linear): Linear {
  const unknowns: number[] = [];
  const factors: number[] = [];
  let [i, j] = [0, 0];
  while (i < one.unknowns.length || j < other.unknowns.length) {
    const a = one.unknowns[i] ?? Infinity;
    const b = other.unknowns[j] ?? Infinity;
    const unknown = Math.min(a, b);
    const factor = (a === unknown ? (one.factors[i++] ?? 0) : 0) - (b === unknown ? (other.factors[j++] ?? 0) : 0);
    if (factor === 0) continue;
    unknowns.push(unknown);
    factors.push(factor);
  }
  return { unknowns, factors };
}

export function negative({ unknowns, factors }: Linear): Linear {
  return { unknowns, factors: factors.map((factor) => -factor) };
}
