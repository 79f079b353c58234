import { TooManyToFollow } from "./not-followed.js";
import type { OutsideSignal } from "./outside-signal.js";

/** Signals of unknown level that are tried either way. */
const MOST_GUESSED = 4;

/** What all that comes from outside does before one edge of the oscillator: a bit for each signal, then for each guessed net. */
export interface Play {
  readonly before: number;
  readonly after: number;
}

/** A play, and the state in which it leaves the signals. */
export interface Way {
  /** Number of the play, in `OutsideWays.plays`. */
  readonly play: number;
  readonly state: number;
}

/** All signals from outside together: their state as one number, and what they can do from it. */
export class OutsideWays {
  readonly signals: readonly OutsideSignal[];
  readonly stateCount: number;
  /** All quiet for long. */
  readonly quiet: number;
  readonly plays: Play[] = [];
  readonly #guessed: number;
  readonly #aged: number[] = [];
  readonly #playIds = new Map<number, number>();
  readonly #ways = new Map<number, readonly Way[]>();

  /** `guessed`: how many nets may have any level at any time. Throws TooManyToFollow. */
  constructor(signals: readonly OutsideSignal[], guessed: number) {
    if (guessed > MOST_GUESSED) throw new TooManyToFollow(`${guessed} nets of unknown level`);
    this.signals = signals;
    this.#guessed = guessed;
    this.stateCount = signals.reduce((count, signal) => count * signal.stateCount, 1);
    this.quiet = this.#joined(signals.map(({ quiet }) => quiet));
  }

  /** The states that the signals can be in as a period begins, when they have kept their least times so far. */
  kept(): readonly number[] {
    const found = new Set([this.quiet]);
    for (const state of found) {
      for (const first of this.ways(state, false)) {
        for (const second of this.ways(first.state, false)) found.add(this.aged(second.state));
      }
    }
    return [...found].sort((a, b) => a - b);
  }

  /** An oscillator period later. */
  aged(state: number): number {
    const known = this.#aged[state];
    if (known !== undefined) return known;
    const aged = this.#joined(this.#parted(state).map((own, index) => this.signals[index]?.aged(own) ?? own));
    this.#aged[state] = aged;
    return aged;
  }

  /** Each signal quiet or with an edge, as far as it may; with `isQuiet` no signal has an edge. */
  ways(state: number, isQuiet: boolean): readonly Way[] {
    const key = 2 * state + (isQuiet ? 1 : 0);
    const known = this.#ways.get(key);
    if (known) return known;
    let found: readonly (Play & { readonly states: readonly number[] })[] = [{ before: 0, after: 0, states: [] }];
    this.#parted(state).forEach((own, index) => {
      const now = this.signals[index]?.at(own);
      if (!now) return;
      const next = [{ level: now.level, state: own }, ...(now.after && !isQuiet ? [now.after] : [])];
      found = found.flatMap(({ before, after, states }) =>
        next.map((to) => ({
          before: before | (now.level << index),
          after: after | (to.level << index),
          states: [...states, to.state],
        })),
      );
    });
    for (let index = 0; index < this.#guessed; index++) {
      const bit = 1 << (this.signals.length + index);
      found = found.flatMap((way) =>
        [0, bit].flatMap((first) =>
          [0, bit].map((last) => ({ ...way, before: way.before | first, after: way.after | last })),
        ),
      );
    }
    const ways = found.map(({ before, after, states }) => ({
      play: this.#playOf(before, after),
      state: this.#joined(states),
    }));
    this.#ways.set(key, ways);
    return ways;
  }

  #playOf(before: number, after: number): number {
    const key = before * 65_536 + after;
    const known = this.#playIds.get(key);
    if (known !== undefined) return known;
    const id = this.plays.push({ before, after }) - 1;
    this.#playIds.set(key, id);
    return id;
  }

  #parted(state: number): number[] {
    let rest = state;
    return this.signals.map(({ stateCount }) => {
      const own = rest % stateCount;
      rest = Math.floor(rest / stateCount);
      return own;
    });
  }

  #joined(states: readonly number[]): number {
    return states.reduceRight((sum, own, index) => sum * (this.signals[index]?.stateCount ?? 1) + own, 0);
  }
}
