import type { Fault } from "../faults/fault.js";

/** A fault, and what it has to do with each of some measurements: a bit each. */
export interface Single {
  readonly fault: Fault;
  readonly spots: readonly string[];
  /** Measured pins at which it alone changes anything. */
  readonly changes: Uint32Array;
  /** Measurements that it alone explains in either of its ways, be it by changing nothing. */
  readonly explains: Uint32Array;
  /** Measured pins whose levels may hang on it, whatever else is wrong. */
  readonly reaches: Uint32Array;
  /** How common it is, against others. */
  readonly weight: number;
}

/** Pairs of faults that may explain some measurements, the likeliest first. */
export class PairQueue {
  private readonly singles: readonly Single[];
  /** Pairs, as numbers, by how many measurements neither fault explains by itself. */
  private readonly byOpen: number[][] = [];
  private sorted = -1;
  private at = 0;
  readonly total: number;

  /** `all` measurements, and those that are as they would be without a fault. */
  constructor(singles: readonly Single[], all: Uint32Array, usual: Uint32Array) {
    this.singles = singles;
    let total = 0;
    singles.forEach((one, first) => {
      for (let second = first + 1; second < singles.length; second++) {
        const open = openTo(one, singles[second] ?? one, all, usual);
        if (open === undefined) continue;
        total++;
        (this.byOpen[open] ??= []).push(first * singles.length + second);
      }
    });
    this.total = total;
  }

  /** The next so many pairs of different places; fewer at the end. */
  next(count: number): readonly (readonly [Single, Single])[] {
    const found: (readonly [Single, Single])[] = [];
    while (found.length < count) {
      const own = this.byOpen[this.sorted];
      if (!own || this.at >= own.length) {
        if (++this.sorted >= this.byOpen.length) break;
        this.at = 0;
        this.byOpen[this.sorted]?.sort((a, b) => this.weightOf(b) - this.weightOf(a));
        continue;
      }
      const pair = this.pair(own[this.at++] ?? 0);
      if (pair && !pair[0].spots.some((spot) => pair[1].spots.includes(spot))) found.push(pair);
    }
    return found;
  }

  private pair(number: number): readonly [Single, Single] | undefined {
    const one = this.singles[Math.floor(number / this.singles.length)];
    const other = this.singles[number % this.singles.length];
    return one && other && [one, other];
  }

  private weightOf(number: number): number {
    const pair = this.pair(number);
    return pair ? pair[0].weight * pair[1].weight : 0;
  }
}

/**
 * How many measurements two faults leave open: neither explains them alone, but each may change what the other one does.
 * Undefined where they cannot explain one: what only one of them can have to do with is as it makes it.
 */
function openTo(one: Single, other: Single, all: Uint32Array, usual: Uint32Array): number | undefined {
  let open = 0;
  for (let at = 0; at < all.length; at++) {
    const word = (of: Uint32Array) => of[at] ?? 0;
    const byOne = word(one.explains) & word(one.changes);
    const byOther = word(other.explains) & word(other.changes);
    const byNone = word(usual) & ~word(one.changes) & ~word(other.changes);
    const left = word(all) & ~(byOne | byOther | byNone);
    if ((left & ~(word(one.reaches) & word(other.reaches))) !== 0) return undefined;
    open += bitsIn(left);
  }
  return open;
}

function bitsIn(word: number): number {
  let count = 0;
  for (let rest = word; rest !== 0; rest &= rest - 1) count++;
  return count;
}
