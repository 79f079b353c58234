import type { Orbit } from "./orbit.js";
import type { Signal } from "./structure.js";

/** A level at one place of a round that differs from round to round: which bit, after which edge (-1: before the first). */
export interface Column {
  readonly bit: Signal;
  readonly step: number;
}

/**
 * An orbit cut into rounds of some periods each, one below the other: what every bit is after every edge of a round. Most
 * levels are the same in every round, or the same as after the edge before.
 */
export class Columns {
  readonly orbit: Orbit;
  /** Oscillator edges of a round, and rounds of the orbit. */
  readonly edges: number;
  readonly rounds: number;
  private readonly place: ReadonlyMap<Signal, number>;
  /** Of every step, `words` words: bits that are always high, that are ever high, that ever differ from the step before. */
  private readonly always: Uint32Array;
  private readonly ever: Uint32Array;
  private readonly differs: Uint32Array;

  /** Throws RangeError unless the orbit is a whole number of rounds. */
  constructor(orbit: Orbit, periods: number) {
    if (orbit.periods % periods !== 0) throw new RangeError(`${orbit.periods} periods are no rounds of ${periods}`);
    this.orbit = orbit;
    this.edges = 2 * periods;
    this.rounds = orbit.periods / periods;
    this.place = new Map(orbit.bits.map((bit, index) => [bit, index]));
    const { levels, words } = orbit;
    const perRound = this.edges * words;
    this.always = new Uint32Array(perRound).fill(0xffffffff);
    this.ever = new Uint32Array(perRound);
    this.differs = new Uint32Array(perRound);
    const { always, ever, differs } = this;
    for (let at = 0, column = 0; at < levels.length; at++, column = column + 1 === perRound ? 0 : column + 1) {
      const level = levels[at] ?? 0;
      const before = levels[at < words ? levels.length - words + at : at - words] ?? 0;
      always[column] = (always[column] ?? 0) & level;
      ever[column] = (ever[column] ?? 0) | level;
      differs[column] = (differs[column] ?? 0) | (level ^ before);
    }
  }

  /** The level of a bit after an edge: the same in every round, or a column. */
  at(bit: Signal, step: number): 0 | 1 | Column {
    const place = this.place.get(bit) ?? 0;
    for (let at = step; ; at--) {
      const column = ((at + this.edges) % this.edges) * this.orbit.words + (place >> 5);
      const mask = 1 << (place & 31);
      if (((this.ever[column] ?? 0) & mask) === 0) return 0;
      if (((this.always[column] ?? 0) & mask) !== 0) return 1;
      if (at < 0 || ((this.differs[column] ?? 0) & mask) !== 0) return { bit, step: at };
    }
  }
}

/**
 * For each number of periods up to a limit that divides the orbit: how many bits come back to the same level after it, all
 * along the orbit. Only numbers after which more bits come back than after any smaller one.
 */
export function promisingRounds(orbit: Orbit, mostPeriods: number): readonly number[] {
  const { levels, words, periods } = orbit;
  const promising: number[] = [];
  let most = 0;
  for (let round = 1; round <= Math.min(mostPeriods, periods); round++) {
    if (periods % round !== 0) continue;
    const count = comingBack(levels, words, 2 * round * words, most);
    if (count <= most) continue;
    most = count;
    promising.push(round);
  }
  return promising;
}

/** Bits that are the same so many words further on; 0 as soon as they are no more than `least`. */
function comingBack(levels: Uint32Array, words: number, distance: number, least: number): number {
  const differs = new Uint32Array(words);
  for (let at = 0, word = 0; at < levels.length; at++, word = word + 1 === words ? 0 : word + 1) {
    const other = at + distance < levels.length ? at + distance : at + distance - levels.length;
    differs[word] = (differs[word] ?? 0) | ((levels[at] ?? 0) ^ (levels[other] ?? 0));
    if ((at & 0xfff) === 0xfff && 32 * words - countBits(differs) <= least) return 0;
  }
  return 32 * words - countBits(differs);
}

function countBits(words: Uint32Array): number {
  let count = 0;
  for (const word of words) for (let rest = word; rest !== 0; rest &= rest - 1) count++;
  return count;
}
