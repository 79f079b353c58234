import { IntTable } from "./int-table.js";
import { Pairs, type WordId, type Words } from "./words.js";

/** What a part does in 2^n ticks from one state on, when it sees one sequence: worked out once, however often it recurs. */
export interface Stretch<Did> {
  /** State of the part after it. */
  readonly end: number;
  /** What each of the parts that see this one sees of it. */
  readonly shown: readonly WordId[];
  /** Absent of a single tick. */
  readonly halves: readonly [Stretch<Did>, Stretch<Did>] | undefined;
  /** What it does in a single tick; absent of longer stretches and where it is idle. */
  readonly did: Did | undefined;
  /** How often it occurs. */
  count: number;
  /** One bit for each target of `passes`: whether it is known, and what is known. */
  asked: number;
  passed: number;
}

/** One tick of a part: from a state, seeing one word from each of the parts before it. */
export type TickStep<Did> = (
  state: number,
  seen: readonly WordId[],
  tick: number,
) => Pick<Stretch<Did>, "end" | "shown" | "did">;

/** All stretches of one part of the circuit. */
export class Stretches<Did> {
  readonly #words: Words;
  readonly #step: TickStep<Did>;
  /** By level n, then by state and number of what is seen. */
  readonly #known: { readonly numbers: IntTable; readonly all: Stretch<Did>[] }[] = [];
  /** Numbers the words seen from several parts as one, by level: the same numbers mean other words on another. */
  readonly #seenIds: Pairs[] = [];

  constructor(words: Words, step: TickStep<Did>) {
    this.#words = words;
    this.#step = step;
  }

  /** What the part does in the 2^`level` ticks from `tick` on. */
  advance(level: number, state: number, seen: readonly WordId[], tick: number): Stretch<Did> {
    const seenId = this.#seenId(level, seen);
    const { numbers, all } = (this.#known[level] ??= { numbers: new IntTable(), all: [] });
    const at = numbers.get(state, seenId);
    const known = at < 0 ? undefined : all[at];
    if (known) return known;
    const made = level === 0 ? this.#single(state, seen, tick) : this.#double(level, state, seen, tick);
    numbers.add(state, seenId, all.push(made) - 1);
    return made;
  }

  /** Passes the counts of long stretches on to the ticks that they consist of, and gives these. */
  *ticks(): Iterable<Stretch<Did>> {
    for (let level = this.#known.length - 1; level > 0; level--) {
      for (const { halves, count } of this.#known[level]?.all ?? []) {
        for (const half of halves ?? []) half.count += count;
      }
    }
    yield* this.#known[0]?.all ?? [];
  }

  #single(state: number, seen: readonly WordId[], tick: number): Stretch<Did> {
    const { end, shown, did } = this.#step(state, seen, tick);
    return { end, shown, did, halves: undefined, count: 0, asked: 0, passed: 0 };
  }

  #double(level: number, state: number, seen: readonly WordId[], tick: number): Stretch<Did> {
    const { halves } = this.#words;
    const half = 2 ** (level - 1);
    const one = this.advance(
      level - 1,
      state,
      seen.map((word) => halves.first(word)),
      tick,
    );
    const other = this.advance(
      level - 1,
      one.end,
      seen.map((word) => halves.second(word)),
      tick + half,
    );
    return {
      end: other.end,
      shown: one.shown.map((word, index) => halves.id(word, other.shown[index] ?? 0)),
      did: undefined,
      halves: [one, other],
      count: 0,
      asked: 0,
      passed: 0,
    };
  }

  #seenId(level: number, seen: readonly WordId[]): number {
    const [only, another] = seen;
    if (only === undefined) return 0;
    if (another === undefined) return only;
    const pairs = (this.#seenIds[level] ??= new Pairs());
    return seen.reduce((id, word) => pairs.id(id, word));
  }
}

/** Which of the states `targets`, one bit each, a stretch comes to at the end of one of its ticks. */
export function passes(stretch: Stretch<unknown>, targets: readonly number[], wanted: number): number {
  const open = wanted & ~stretch.asked;
  if (open !== 0) {
    let passed = 0;
    if (stretch.halves) {
      for (const half of stretch.halves) passed |= passes(half, targets, open);
    } else {
      for (let index = 0; index < targets.length; index++) if (stretch.end === targets[index]) passed |= 1 << index;
    }
    stretch.asked |= open;
    stretch.passed |= passed & open;
  }
  return stretch.passed & wanted;
}
