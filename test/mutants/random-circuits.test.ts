import { expect, test } from "vitest";
import { leastCommonMultiple } from "../../src/timing/power-up/course.js";
import { compareFates } from "../support/start-fates.js";

/** A part of the random circuits of the ordinary tests: so many that a mutant's run stays short. */
const seeds = (count: number) => Array.from({ length: count }, (_, index) => index + 1);

test("random circuits come to one cycle where following each state by itself finds one, when it does, and of its length", () => {
  const wrong = seeds(80).filter((seed) => {
    const compared = compareFates(seed, 6);
    if (!compared) return false;
    const { fates, found } = compared;
    const holds = found.obstacles.length === 0;
    if (fates.every(({ cycles }) => cycles === 1) !== holds) return true;
    const periods = Math.max(0, ...fates.map((fate) => fate.periods ?? Infinity));
    const cycle = fates.reduce((ticks, { cyclePeriods }) => leastCommonMultiple(ticks, cyclePeriods), 1);
    return holds && (found.ticks !== periods || found.cycleTicks !== cycle);
  });
  expect(wrong).toEqual([]);
});
