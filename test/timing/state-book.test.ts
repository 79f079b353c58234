import { describe, expect, test } from "vitest";
import { PAST } from "../../src/timing/aspects.js";
import type { OutsideState, Region, Wave } from "../../src/timing/state.js";
import { NO_PAST, StateBook } from "../../src/timing/state-book.js";

/** A signal that rose three oscillator periods ago and remembers that for so long. */
function risen(riseMatters: number): OutsideState {
  const wave = { kind: "wave", level: 2, regions: [], members: [], keeps: 24 } as const;
  const memory = { rose: -3, fell: -40, riseMatters, fallMatters: 40 };
  return { kind: "outside", wave: { ...wave, regions: [], members: [] }, ...memory, step: 4, phase: 3 };
}

test("of two signals that rose together, the one that must wait longer before it rises again remembers it longer", () => {
  const book = new StateBook(
    24,
    (coming) => coming,
    ({ born }) => born,
  );
  const roseAfter = (riseMatters: number, ticks: number) => {
    let id = book.id(risen(riseMatters));
    for (let tick = 0; tick < ticks; tick++) id = book.next(id);
    const state = book.state(id);
    return state.kind === "outside" ? state.rose : undefined;
  };
  expect(roseAfter(20, 60)).toBe(-20);
  expect(roseAfter(50, 60)).toBe(-50);
});

describe("a wave is its past and its present", () => {
  /** A change that is over from `born` on, or still under way. */
  const change = (born: number, to: 1 | 2, closed: boolean): Region => {
    const times = { early: [{ path: 1, tick: born }], late: closed ? [{ path: 1, tick: born }] : [] };
    const course = { clean: true, opened: true, closed, settled: closed, drove: false, steps: [] };
    return { born, order: 0, from: to === 1 ? 2 : 1, to, ...course, ...times };
  };
  const wave = (...regions: Region[]): Wave => {
    return { kind: "wave", level: regions.at(-1)?.to ?? 1, regions, members: [], keeps: 24 };
  };
  const book = new StateBook(
    24,
    (coming) => coming,
    ({ born }) => born,
  );
  const rose = wave(change(-9, 2, true), change(-2, 1, false));
  const roseEarlier = wave(change(-12, 2, true), change(-2, 1, false));

  test("waves that do the same now have one present, whatever they did before", () => {
    const [one, other] = [book.id(rose), book.id(roseEarlier)];
    expect(one).not.toBe(other);
    expect(book.presentOf(one)).toBe(book.presentOf(other));
    expect(book.glance(one)).toBe(book.glance(other));
  });

  test("a new present leaves the past as it was", () => {
    const ended = book.presentOf(book.id(wave(change(-9, 2, true), change(-2, 1, false), change(0, 2, false))));
    const after = book.withPresent(book.id(roseEarlier), ended);
    const expected = wave(change(-12, 2, true), change(-2, 1, false), change(0, 2, false));
    expect(book.state(after)).toEqual(expected);
    expect(after).toBe(book.id(expected));
  });

  test("a change made in this tick is present even if it is over, so that the next one gets another number", () => {
    const over = book.present(book.id(wave(change(-9, 2, true), change(0, 1, true))));
    expect(over.regions.map(({ born }) => born)).toEqual([0]);
    expect(over.base).toBe(2);
  });

  test("each change that is past can be looked at by itself, the last first", () => {
    const threeTimes = wave(change(-12, 2, true), change(-9, 1, true), change(-6, 2, true));
    const twice = wave(change(-9, 1, true), change(-6, 2, true));
    const [one, other] = [book.id(threeTimes), book.id(twice)];
    const pastOf = (id: number) => [0, 1, 2].map((number) => book.aspect(id, PAST + number));
    expect(pastOf(one).slice(0, 2)).toEqual(pastOf(other).slice(0, 2));
    expect(pastOf(other)[2]).toBe(NO_PAST);
    expect(pastOf(one)[2]).not.toBe(NO_PAST);
    expect(book.past(one, 2)?.region.born).toBe(-12);
  });

  test("of a change it is known whether those before it were over no later", () => {
    const overtaken = { ...change(-9, 1, true), born: -5 };
    const [ordered, other] = [book.id(rose), book.id(wave(overtaken, change(-6, 2, true), change(-2, 1, false)))];
    expect(book.past(ordered, 0)?.wasLast).toBe(true);
    expect(book.past(other, 0)?.wasLast).toBe(false);
  });

  test("what a wave did since an earlier state, put onto that, gives what it is now", () => {
    const before = wave(change(-9, 2, true), change(-2, 1, false));
    const now = wave(change(-9, 2, true), change(-2, 1, true), change(0, 2, false));
    const [first, last] = [book.id(before), book.id(now)];
    expect(book.withPresent(first, book.presentSince(last, first))).toBe(last);
    const roseBefore = book.id(wave(change(-12, 2, true), change(-2, 1, false)));
    const after = book.state(book.withPresent(roseBefore, book.presentSince(last, first)));
    expect(after).toEqual(wave(change(-12, 2, true), change(-2, 1, true), change(0, 2, false)));
  });
});
