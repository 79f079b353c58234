import { IntTable } from "./int-table.js";

/** Number of a sequence of what is seen in 2^n ticks. */
export type WordId = number;

/** Keeps each different pair once. */
export class Pairs {
  readonly #ids = new IntTable();
  readonly #firsts: number[] = [];
  readonly #seconds: number[] = [];

  id(first: number, second: number): number {
    const known = this.#ids.get(first, second);
    if (known >= 0) return known;
    const id = this.#firsts.push(first) - 1;
    this.#seconds.push(second);
    this.#ids.add(first, second, id);
    return id;
  }

  first(id: number): number {
    return this.#firsts[id] ?? 0;
  }

  second(id: number): number {
    return this.#seconds[id] ?? 0;
  }
}

/**
 * What one part of the circuit shows to another, tick after tick. The word of one tick is what the waves that are seen were
 * as it began, and what happened to them in it; that of 2^n ticks is the pair of its halves, so that a stretch that comes
 * again is known by its number.
 */
export class Words {
  /** Of one tick: the waves as it begins, and the feed. */
  readonly ticks = new Pairs();
  /** Of 2^n ticks: the two halves. */
  readonly halves = new Pairs();
}
