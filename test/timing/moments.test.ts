import { expect, test } from "vitest";
import { fs, range } from "../../src/quantity/index.js";
import type { Moment } from "../../src/timing/moment.js";
import { isEqual, isSame, leastGap, mostGap } from "../../src/timing/moments.js";
import { OSCILLATOR_RISE } from "../../src/timing/roots.js";
import { TimeLine } from "../../src/timing/time-line.js";

/** An oscillator of 1000 fs and delays that lie between two limits, in fs. */
const time = new TimeLine(range(fs(1000), fs(1000)), range(0.5, 0.5));
const arc = (label: string, min: number, max: number): Moment => {
  const variable = time.variable({
    ...{ kind: "arc", label, chip: label, part: "", from: "A", to: "Y", edge: "rise", change: "rise" },
    ...{ min: fs(min), typical: fs(min), max: fs(max), isPrivate: false, value: "throughout", assumedMinimum: false },
  });
  return { path: time.extend(time.root(OSCILLATOR_RISE), variable), tick: 0 };
};
const [early, wide, late] = [arc("early", 10, 20), arc("wide", 5, 300), arc("late", 400, 450)];

test("the least gap is that of the latest cause of the first change and the earliest one of the second", () => {
  expect(leastGap(time, [early, wide], [late])).toEqual({ fs: 100, earlier: wide, later: late });
  expect(leastGap(time, [early], [late, wide])).toEqual({ fs: -15, earlier: early, later: wide });
});

test("the most gap is that of the earliest cause of the first change and the latest one of the second", () => {
  expect(mostGap(time, [early, wide], [late])).toEqual({ fs: 445, earlier: wide, later: late });
  expect(mostGap(time, [wide, early], [late])).toEqual({ fs: 445, earlier: wide, later: late });
  expect(mostGap(time, [late], [early, wide])).toEqual({ fs: -100, earlier: late, later: wide });
});

test("of causes that leave the same gap the first one sets it", () => {
  const [one, other] = [arc("one", 30, 40), arc("other", 30, 40)];
  expect(leastGap(time, [one, other], [late])?.earlier).toBe(one);
  expect(mostGap(time, [one, other], [late])?.earlier).toBe(one);
});

test("a change without a cause leaves no gap", () => {
  for (const gap of [leastGap, mostGap]) {
    expect(gap(time, [], [late])).toBeUndefined();
    expect(gap(time, [early], [])).toBeUndefined();
  }
});

test("lists of causes are equal where each is of the same chain and tick, and the same where each is that one", () => {
  const before = { ...early, tick: -1 };
  expect(isEqual([early, late], [{ ...early }, { ...late }])).toBe(true);
  expect(isSame([early, late], [early, late])).toBe(true);
  expect(isSame([early], [{ ...early }])).toBe(false);
  for (const isAlike of [isEqual, isSame]) {
    expect(isAlike([], [])).toBe(true);
    expect(isAlike([early, late], [late, early])).toBe(false);
    expect(isAlike([early], [before])).toBe(false);
    expect(isAlike([early], [early, late])).toBe(false);
    expect(isAlike([early, late], [early])).toBe(false);
  }
});
