import type { Change, Edge } from "../../../src/parts/index.js";
import { type Condition, TRUE, and, not } from "./smt.js";

/** What a pin or an output shows: 0, 1, or 2 where nothing drives. */
export type Word = 0 | 1 | 2;

/** A time as a term of the solver, and between which femtoseconds after the oscillator's rise of a tick it lies. */
export interface Time {
  readonly term: string;
  readonly tick: number;
  readonly least: number;
  readonly most: number;
}

/** An edge that may come at a pin: of one pin they come in order, those that are present. */
export interface Arriving {
  readonly time: Time;
  readonly present: Condition;
}

/** A change that comes out. */
export interface Outgoing {
  readonly time: Time;
  readonly before: Word;
  readonly after: Word;
}

/** One way in which edges can come at a cell: when it is the case, and what then comes out, in order of time. */
export interface Way {
  readonly when: Condition;
  readonly out: readonly Outgoing[];
}

export interface OrderedCell {
  readonly pins: readonly string[];
  show(levels: readonly boolean[]): Word;
  /** `time` plus the delay of an arc. */
  delayed(time: Time, pin: string, edge: Edge, change: Change): Time;
}

/** Thrown where edges can come in more orders than are worth asking about. */
export class TooManyWays extends Error {}
const MOST_WAYS = 96;

/** Whether one time is before another on every board, as far as their limits tell. */
export function isSurelyBefore(a: Time, b: Time, [least, most]: readonly [number, number]): boolean {
  const ticks = b.tick - a.tick;
  return a.most < b.least + ticks * (ticks >= 0 ? least : most);
}

/**
 * Every order in which the edges of some pins can come, with the rule for pulses applied at the output: a change that would
 * not come after the one before it cancels with it. The ways exclude each other and cover everything.
 */
export function waysOf(
  cell: OrderedCell,
  first: readonly boolean[],
  arriving: readonly (readonly Arriving[])[],
  periods: readonly [number, number],
): readonly Way[] {
  const ways: Way[] = [];
  const base = cell.show(first);
  const before = (a: Time, b: Time) => isSurelyBefore(a, b, periods);

  const walk = (
    next: readonly number[],
    levels: readonly boolean[],
    out: readonly Outgoing[],
    when: Condition,
  ): void => {
    const heads = arriving.flatMap((list, pin) => {
      const head = list[next[pin] ?? 0];
      return head ? [{ pin, head }] : [];
    });
    if (heads.length === 0) {
      if (ways.push({ when, out }) > MOST_WAYS) throw new TooManyWays();
      return;
    }
    const doubtful = heads.find(({ head: { present } }) => present !== TRUE && decided.get(present) !== true);
    if (doubtful) {
      const { present } = doubtful.head;
      const known = decided.get(present);
      const without = stepped(next, doubtful.pin);
      if (known === false) return walk(without, levels, out, when);
      decided.set(present, false);
      walk(without, levels, out, and(when, not(present)));
      decided.set(present, true);
      walk(next, levels, out, and(when, present));
      decided.delete(present);
      return;
    }
    for (const { pin, head } of heads) {
      const others = heads.filter((other) => other.pin !== pin);
      if (others.some((other) => before(other.head.time, head.time))) continue;
      const order = others
        .filter((other) => !before(head.time, other.head.time))
        .map((other) => `(${pin < other.pin ? "<=" : "<"} ${head.time.term} ${other.head.time.term})`);
      come(stepped(next, pin), levels, out, and(when, ...order), pin, head.time);
    }
  };

  const come = (
    next: readonly number[],
    levels: readonly boolean[],
    out: readonly Outgoing[],
    when: Condition,
    pin: number,
    time: Time,
  ): void => {
    const after = levels.map((level, index) => (index === pin ? !level : level));
    const word = cell.show(after);
    const shown = out.at(-1)?.after ?? base;
    if (word === shown) return walk(next, after, out, when);
    const name = cell.pins[pin] ?? "";
    push(next, after, out, when, cell.delayed(time, name, after[pin] ? "rise" : "fall", changeOf(shown, word)), word);
  };

  const push = (
    next: readonly number[],
    levels: readonly boolean[],
    out: readonly Outgoing[],
    when: Condition,
    time: Time,
    word: Word,
  ): void => {
    const last = out.at(-1);
    const shown = last?.after ?? base;
    if (last && !before(last.time, time)) {
      const isCancelled = before(time, last.time) ? TRUE : `(>= ${last.time.term} ${time.term})`;
      const rest = out.slice(0, -1);
      const cancelled = and(when, isCancelled);
      if ((rest.at(-1)?.after ?? base) === word) walk(next, levels, rest, cancelled);
      else push(next, levels, rest, cancelled, time, word);
      if (isCancelled === TRUE) return;
      walk(next, levels, [...out, { time, before: shown, after: word }], and(when, not(isCancelled)));
      return;
    }
    walk(next, levels, [...out, { time, before: shown, after: word }], when);
  };

  /** Edges that may or may not come, several of one pulse under one condition. */
  const decided = new Map<Condition, boolean>();
  walk(
    arriving.map(() => 0),
    first,
    [],
    TRUE,
  );
  return ways;
}

function stepped(next: readonly number[], pin: number): readonly number[] {
  return next.map((index, other) => (other === pin ? index + 1 : index));
}

function changeOf(before: Word, after: Word): Change {
  if (before === 2) return after === 1 ? "z-to-high" : "z-to-low";
  if (after === 2) return before === 1 ? "high-to-z" : "low-to-z";
  return after === 1 ? "rise" : "fall";
}
