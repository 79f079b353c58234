import { expect, test } from "vitest";
import { Programme } from "../../src/exact/programme.js";
import { type Linear, Unknowns, less, negative, plus, ZERO } from "../../src/exact/unknowns.js";
import { Work } from "../../src/exact/work.js";
import { ns, range } from "../../src/quantity/index.js";

/** An oscillator that takes no part: period and high time are fixed. */
function programme(limits: Readonly<Record<string, readonly [number, number]>>) {
  const unknowns = new Unknowns(range(ns(1), ns(1)), range(0.5, 0.5));
  const numbers = Object.fromEntries(
    Object.entries(limits).map(([name, [min, max]]) => [
      name,
      unknowns.number(name, { min: ns(min), typical: ns((min + max) / 2), max: ns(max) }),
    ]),
  );
  const sum = (factors: Readonly<Record<string, number>>): Linear =>
    Object.entries(factors).reduce((all, [name, factor]) => plus(all, numbers[name] ?? 0, factor), ZERO);
  return { unknowns, sum, programme: new Programme(unknowns, new Work()) };
}

/**
 * Dechter, Meiri, Pearl, "Temporal constraint networks", Artificial Intelligence 49 (1991), figures 2 and 3, from memory: the
 * largest time from each of five events to each other, in minutes there and in nanoseconds here.
 */
test("five events under interval constraints are as far apart as the published distance graph says", () => {
  const { sum, programme: own } = programme({
    toWork: [10, 20],
    drive: [30, 40],
    ride: [40, 50],
    arrival: [60, 70],
    ten: [10, 10],
  });
  // x4 comes `arrival` after x0, and x3 `ride` before x4; x2 comes between 10 and 20 after x3.
  const events = [
    sum({}),
    sum({ toWork: 1 }),
    sum({ toWork: 1, drive: 1 }),
    sum({ arrival: 1, ride: -1 }),
    sum({ arrival: 1 }),
  ];
  const between = sum({ toWork: 1, drive: 1, arrival: -1, ride: 1 });
  const conditions = [less(between, sum({ ten: 1 })), less(sum({ ten: 2 }), between)];
  const published = [
    [0, 20, 50, 30, 70],
    [-10, 0, 40, 20, 60],
    [-40, -30, 0, -10, 30],
    [-20, -10, 20, 0, 50],
    [-60, -50, -20, -40, 0],
  ];
  const found = events.map((from) =>
    events.map((to) => -own.lowerBound(less(from, to), conditions).least / ns(1) || 0),
  );
  expect(found).toEqual(published);
});

/** "Common path and clock reconvergence pessimism removal", vlsi.pro: cells of 0.8 to 1.0 ns, two of three shared. */
test("what two clock paths share does not count into their skew", () => {
  const cell = [0.8, 1] as const;
  const { unknowns, sum } = programme({ c1: cell, c2: cell, c3: cell, c4: cell });
  const [launch, capture] = [sum({ c1: 1, c2: 1, c3: 1 }), sum({ c1: 1, c2: 1, c4: 1 })];
  const before = unknowns.most(launch) - unknowns.least(capture);
  const after = unknowns.most(less(launch, capture));
  expect([before, after, before - after].map((time) => time / ns(1))).toEqual([0.6, 0.2, 0.4]);
});

/**
 * Max and min together: with a delay d from 0 to 4, min(max(0, d), 2) less max(2, d) is -2 at d = 0, 0 at d = 2 and -2 at
 * d = 4, so the greatest difference lies at no end of the limits. Worked out by hand.
 */
test("where the later of two joins the earlier of two, the worst delay may lie within its limits", () => {
  const { sum, programme: own } = programme({ d: [0, 4], two: [2, 2] });
  const [d, two] = [sum({ d: 1 }), sum({ two: 1 })];
  const later = less(d, two);
  // Whichever of d and 2 comes first decides both joins.
  const cases = [
    { difference: less(d, two), conditions: [negative(later)] },
    { difference: less(two, d), conditions: [later] },
  ];
  const greatest = cases.map(
    ({ difference, conditions }) => -own.lowerBound(negative(difference), conditions).least || 0,
  );
  expect(greatest).toEqual([0, 0]);
  const [board] = cases.map(({ difference, conditions }) => own.worstBoard(negative(difference), conditions, 0));
  expect([...(board?.values() ?? [])]).toContain(ns(2));
});

/** The oscillator's high time is tied to its period: no board has the shortest high of one and the period of another. */
test("a high time counts with the period that it is part of", () => {
  const unknowns = new Unknowns(range(ns(90), ns(110)), range(0.4, 0.6));
  const low = less(plus(ZERO, 0), plus(ZERO, 1));
  const own = new Programme(unknowns, new Work());
  expect(own.lowerBound(low, []).least).toBe(ns(36));
  expect(unknowns.least(low)).toBe(ns(36));
});
