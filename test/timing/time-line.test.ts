import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { fs, ns, range } from "../../src/quantity/index.js";
import type { DelayVariable } from "../../src/timing/delay-variable.js";
import type { Moment } from "../../src/timing/moment.js";
import type { PathId } from "../../src/timing/paths.js";
import { OSCILLATOR_FALL, OSCILLATOR_RISE, outsideRoot } from "../../src/timing/roots.js";
import { TimeLine } from "../../src/timing/time-line.js";

const half = range(0.5, 0.5);
const exactly = (time: number) => range(fs(time), fs(time));

/** A delay within limits in femtoseconds. */
function delayIn(time: TimeLine, min: number, max: number, more: Partial<DelayVariable> = {}): DelayVariable {
  const typical = fs(Math.round((min + max) / 2));
  const place = { kind: "arc", label: "", chip: "U1", part: "", from: "A", to: "Y" } as const;
  const limits = { min: fs(min), typical, max: fs(max), isPrivate: false, assumedMinimum: false };
  return time.variable({ ...place, ...limits, value: "throughout", ...more });
}

const pathOf = (time: TimeLine, root: number, ...delays: readonly DelayVariable[]): PathId =>
  delays.reduce((path, delay) => time.extend(path, delay), time.root(root));

describe("what two events share has no part in the time between them", () => {
  const time = new TimeLine(exactly(ns(100)), half);
  const [shared, one, other] = [delayIn(time, 10, 50), delayIn(time, 3, 4), delayIn(time, 6, 9)];
  const [a, b] = [pathOf(time, OSCILLATOR_RISE, shared, one), pathOf(time, OSCILLATOR_RISE, shared, other)];

  test("a delay on the way to both cancels, however uncertain it is", () => {
    const [earlier, later] = [
      { path: a, tick: 0 },
      { path: b, tick: 0 },
    ];
    expect([time.leastGap(earlier, later), time.mostGap(earlier, later)]).toEqual([6 - 4, 9 - 3]);
  });

  test("the same arc takes the same time in another period", () => {
    const [earlier, later] = [
      { path: a, tick: 0 },
      { path: a, tick: 3 },
    ];
    expect([time.leastGap(earlier, later), time.mostGap(earlier, later)]).toEqual([ns(300), ns(300)]);
  });

  test("a delay outside the circuit, which is another one each time, cancels for one event only", () => {
    const outside = delayIn(time, 10, 50, { kind: "outside", value: "each time" });
    const path = pathOf(time, OSCILLATOR_RISE, outside);
    const now = { path, tick: 0 };
    expect(time.leastGap(now, { path: time.extend(path, one), tick: 0 })).toBe(3);
    expect(time.leastGap(now, { path, tick: 1 })).toBe(ns(100) - 40);
  });

  test("several ways taken as one cancel with nothing", () => {
    const ways = delayIn(time, 10, 50, { value: "none" });
    const path = pathOf(time, OSCILLATOR_RISE, shared, ways);
    const now = { path, tick: 0 };
    expect(time.leastGap(now, now)).toBe(-40);
  });

  test("two fallings of the oscillator are whole periods apart, whatever its high time", () => {
    const uneven = new TimeLine(exactly(ns(100)), range(0.4, 0.6));
    const fall = uneven.root(OSCILLATOR_FALL);
    expect(uneven.leastGap({ path: fall, tick: 0 }, { path: fall, tick: 2 })).toBe(ns(200));
    const rise = { path: uneven.root(OSCILLATOR_RISE), tick: 0 };
    expect(uneven.leastGap(rise, { path: fall, tick: 0 })).toBe(ns(40));
    expect(uneven.mostGap(rise, { path: fall, tick: 0 })).toBe(ns(60));
  });
});

test("bounds are rounded outwards to a whole femtosecond", () => {
  const time = new TimeLine(exactly(100), range(1 / 3, 1 / 3));
  const [rise, fall] = [time.root(OSCILLATOR_RISE), time.root(OSCILLATOR_FALL)].map((path) => ({ path, tick: 0 }));
  if (!rise || !fall) throw new Error("no roots");
  expect([time.earliest(fall), time.latest(fall)]).toEqual([33, 34]);
  expect([time.leastGap(rise, fall), time.mostGap(rise, fall)]).toEqual([33, 34]);
  expect([time.leastGap(fall, rise), time.mostGap(fall, rise)]).toEqual([-34, -33]);
});

/** A chain of numbered delays from an edge of the oscillator in some tick. */
const anyEvent = fc.record({
  root: fc.constantFrom(OSCILLATOR_RISE, OSCILLATOR_FALL),
  chain: fc.array(fc.nat({ max: 3 }), { maxLength: 3 }),
  tick: fc.integer({ min: -2, max: 2 }),
});
const anyDelay = fc.record({ min: fc.nat({ max: 30 }), spread: fc.nat({ max: 30 }), isConstant: fc.boolean() });
const anyClock = fc.record({
  period: fc.integer({ min: 80, max: 120 }),
  spread: fc.nat({ max: 10 }),
  duty: fc.constantFrom([0.4, 0.6] as const, [0.45, 0.45] as const, [1 / 3, 2 / 3] as const),
});
type Event = typeof anyEvent extends fc.Arbitrary<infer T> ? T : never;
type AnyDelay = typeof anyDelay extends fc.Arbitrary<infer T> ? T : never;

/**
 * The least and most time from one event to another over every board: period, high time and delays at their ends, which is
 * where a sum is least and most. A delay that is another one each time is an unknown of its own for each event, and an event
 * is what begins alike in the same tick.
 */
function overEveryBoard(
  clock: { period: number; spread: number; duty: readonly [number, number] },
  delays: readonly AnyDelay[],
  earlier: Event,
  later: Event,
): readonly [least: number, most: number] {
  const unknowns = new Map<string, AnyDelay>();
  const name = (event: Event, n: number) => {
    const delay = event.chain[n] ?? 0;
    if (delays[delay]?.isConstant) return `${delay}`;
    return `${event.tick} ${event.root} ${event.chain.slice(0, n + 1).join(" ")}`;
  };
  for (const event of [earlier, later]) {
    event.chain.forEach((delay, n) =>
      unknowns.set(name(event, n), delays[delay] ?? { min: 0, spread: 0, isConstant: true }),
    );
  }
  const names = [...unknowns.keys()];
  let [least, most] = [Infinity, -Infinity];
  for (let board = 0; board < 2 ** (names.length + 2); board++) {
    const period = clock.period + (board & 1 ? clock.spread : 0);
    const high = period * (board & 2 ? clock.duty[1] : clock.duty[0]);
    const values = new Map(
      [...unknowns].map(([key, { min, spread }], index) => [key, min + ((board >> (index + 2)) & 1 ? spread : 0)]),
    );
    const at = (event: Event) =>
      event.chain.reduce(
        (sum, _, n) => sum + (values.get(name(event, n)) ?? NaN),
        event.tick * period + (event.root === OSCILLATOR_FALL ? high : 0),
      );
    const gap = at(later) - at(earlier);
    [least, most] = [Math.min(least, gap), Math.max(most, gap)];
  }
  return [least, most];
}

test("the bounds of the time between two events are those of the worst boards, to the femtosecond", () => {
  const four = fc.array(anyDelay, { minLength: 4, maxLength: 4 });
  fc.assert(
    fc.property(anyClock, four, anyEvent, anyEvent, (clock, delays, earlier, later) => {
      const { period, spread, duty } = clock;
      const time = new TimeLine(range(fs(period), fs(period + spread)), range(...duty));
      const variables = delays.map((delay) =>
        delayIn(time, delay.min, delay.min + delay.spread, { value: delay.isConstant ? "throughout" : "each time" }),
      );
      const moment = ({ root, chain, tick }: Event): Moment => {
        const steps = chain.flatMap((n) => variables[n] ?? []);
        return { path: pathOf(time, root, ...steps), tick };
      };
      const [least, most] = overEveryBoard(clock, delays, earlier, later);
      // Products with a share of a third are not whole in binary; a femtosecond is a million times wider than that.
      const found = [time.leastGap(moment(earlier), moment(later)), time.mostGap(moment(earlier), moment(later))];
      expect(found[0]).toBeLessThanOrEqual(least + 1e-6);
      expect(found[0]).toBeGreaterThan(least - 1 - 1e-6);
      expect(found[1]).toBeGreaterThanOrEqual(most - 1e-6);
      expect(found[1]).toBeLessThan(most + 1 + 1e-6);
    }),
    { numRuns: 2000 },
  );
});

describe("of the causes of a change those stand that can be the first or the last", () => {
  /** Chains of public delays 0 to 3 and private ones 4 to 7, as data have on their last steps. */
  const anyCause = fc.record({
    open: fc.array(fc.nat({ max: 3 }), { maxLength: 2 }),
    own: fc.array(fc.integer({ min: 4, max: 7 }), { maxLength: 3 }),
    tick: fc.integer({ min: -1, max: 1 }),
  });
  const anyLimits = fc.array(fc.record({ min: fc.nat({ max: 30 }), spread: fc.nat({ max: 30 }) }), {
    minLength: 8,
    maxLength: 8,
  });

  function causes(limits: readonly { min: number; spread: number }[]) {
    const time = new TimeLine(range(fs(90), fs(110)), range(0.4, 0.6));
    const delays = limits.map(({ min, spread }, n) => delayIn(time, min, min + spread, { isPrivate: n >= 4 }));
    const momentOf = ({ open, own, tick }: typeof anyCause extends fc.Arbitrary<infer T> ? T : never): Moment => ({
      path: pathOf(time, OSCILLATOR_RISE, ...[...open, ...own].flatMap((n) => delays[n] ?? [])),
      tick,
    });
    return { time, momentOf };
  }
  const least = (gaps: readonly number[]) => Math.min(...gaps);
  const probe = fc.record({
    open: fc.array(fc.nat({ max: 3 }), { maxLength: 3 }),
    own: fc.array(fc.nat(), { maxLength: 0 }),
    tick: fc.nat({ max: 3 }),
  });

  test("what is left out changes no gap to any edge that shares nothing private", () => {
    fc.assert(
      fc.property(anyLimits, fc.array(anyCause, { minLength: 1, maxLength: 12 }), probe, (limits, all, edge) => {
        const { time, momentOf } = causes(limits);
        const moments = all.map(momentOf);
        const other = momentOf(edge);
        const [early, late]: Moment[][] = [[], []];
        for (const moment of moments) {
          time.addEarly(early ?? [], [moment]);
          time.addLate(late ?? [], [moment]);
        }
        const before = (list: readonly Moment[]) => least(list.map((moment) => time.leastGap(other, moment)));
        const after = (list: readonly Moment[]) => least(list.map((moment) => time.leastGap(moment, other)));
        expect(before(early ?? [])).toBe(before(moments));
        expect(after(late ?? [])).toBe(after(moments));
      }),
      { numRuns: 1000 },
    );
  });

  test("of chains that part in private delays only one is left, the shortest for the first and the longest for the last", () => {
    const time = new TimeLine(exactly(100), half);
    const clock = delayIn(time, 5, 20);
    const ways = [3, 9, 6].map((most) => delayIn(time, 1, most, { isPrivate: true }));
    const moments = ways.map((way): Moment => ({ path: pathOf(time, OSCILLATOR_RISE, clock, way), tick: 0 }));
    const late: Moment[] = [];
    time.addLate(late, moments);
    expect(late).toEqual([moments[1]]);
    const early: Moment[] = [];
    time.addEarly(early, moments);
    expect(early).toHaveLength(1);
  });

  test("too many of them are joined to fewer, whose bounds are wider and never narrower", () => {
    let joined = 0;
    const anyWay = fc.record({
      first: fc.nat({ max: 2 }),
      then: fc.integer({ min: 3, max: 22 }),
      tick: fc.nat({ max: 1 }),
    });
    const anyChange = fc.uniqueArray(anyWay, { minLength: 70, maxLength: 100, selector: (way) => JSON.stringify(way) });
    const anyOther = fc.record({
      first: fc.nat({ max: 2 }),
      then: fc.integer({ min: 3, max: 22 }),
      tick: fc.constant(2),
    });
    fc.assert(
      fc.property(
        anyChange,
        anyOther,
        fc.array(fc.nat({ max: 30 }), { minLength: 23, maxLength: 23 }),
        (all, edge, min) => {
          const time = new TimeLine(range(fs(90), fs(110)), half);
          // None is sure to come before another: each is uncertain by more than all else.
          const delays = min.map((least) => delayIn(time, least, least + 1000));
          const momentOf = ({ first, then, tick }: { first: number; then: number; tick: number }): Moment => ({
            path: pathOf(time, OSCILLATOR_RISE, ...[first, then].flatMap((n) => delays[n] ?? [])),
            tick,
          });
          const [early, late]: [Moment[], Moment[]] = [[], []];
          const moments = all.map(momentOf);
          for (const moment of moments) {
            time.addEarly(early, [moment]);
            time.addLate(late, [moment]);
          }
          joined += late.length < moments.length && early.length < moments.length ? 1 : 0;
          const other = momentOf(edge);
          const before = (list: readonly Moment[]) => least(list.map((moment) => time.leastGap(other, moment)));
          const after = (list: readonly Moment[]) => least(list.map((moment) => time.leastGap(moment, other)));
          expect(before(early)).toBeLessThanOrEqual(before(moments));
          expect(after(late)).toBeLessThanOrEqual(after(moments));
        },
      ),
      { numRuns: 200 },
    );
    expect(joined).toBe(200);
  });
});

describe("an edge from outside comes anywhere within its step", () => {
  const [rise, fall] = [outsideRoot(0, "rise"), outsideRoot(0, "fall")];
  const period = range(ns(90), ns(110));

  test("of one period, or of as many as the step has", () => {
    for (const outsideStepTicks of [1, 4]) {
      const time = new TimeLine(period, half, { outsideStepTicks });
      const edge = { path: time.root(rise), tick: 0 };
      expect([time.earliest(edge), time.latest(edge)]).toEqual([0, outsideStepTicks * ns(110)]);
    }
  });

  test("all that follows from one edge is timed from the same instant", () => {
    const time = new TimeLine(period, half);
    const [one, other] = [delayIn(time, 5, 8), delayIn(time, 10, 11)];
    const [a, b] = [one, other].map((delay) => ({ path: pathOf(time, rise, delay), tick: 0 }));
    if (!a || !b) throw new Error("no paths");
    expect([time.leastGap(a, b), time.mostGap(a, b)]).toEqual([10 - 8, 11 - 5]);
  });

  test("two edges of one signal are as far apart as the file states, where that is more than the steps tell", () => {
    const time = new TimeLine(period, half);
    const [first, second] = [
      { path: time.root(rise), tick: 0 },
      { path: time.root(fall), tick: 3 },
    ];
    expect([time.leastGap(first, second), time.mostGap(first, second)]).toEqual([ns(2 * 90), ns(4 * 110)]);
    time.stateOutsideGap(rise, fall, ns(250));
    expect(time.leastGap(first, second)).toBe(ns(250));
    time.stateOutsideGap(rise, fall, ns(150));
    expect(time.leastGap(first, second)).toBe(ns(180));
  });

  test("it is unrelated to the oscillator and to other signals, but not to the other edge of its own", () => {
    const time = new TimeLine(period, half);
    const at = (root: number): Moment => ({ path: time.root(root), tick: 0 });
    expect(time.isUnrelated(at(rise), at(OSCILLATOR_RISE))).toBe(true);
    expect(time.isUnrelated(at(rise), at(outsideRoot(1, "rise")))).toBe(true);
    expect(time.isUnrelated(at(rise), at(fall))).toBe(false);
    expect(time.isUnrelated(at(OSCILLATOR_FALL), at(OSCILLATOR_RISE))).toBe(false);
  });
});
