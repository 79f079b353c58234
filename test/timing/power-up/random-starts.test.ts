import { describe, expect, test } from "vitest";
import { leastCommonMultiple } from "../../../src/timing/power-up/course.js";
import { compareFates } from "../../support/start-fates.js";

function compareAll(seeds: number, mostBits: number) {
  return Array.from({ length: seeds }, (_, seed) => compareFates(seed + 1, mostBits)).filter(
    (one) => one !== undefined,
  );
}

describe("random clocked circuits, from every state of their storage", { timeout: 120_000 }, () => {
  const compared = compareAll(400, 7);

  test("come to one cycle exactly where following each state by itself finds one", () => {
    const wrong = compared.filter(
      ({ fates, found }) => fates.every(({ cycles }) => cycles === 1) !== (found.obstacles.length === 0),
    );
    expect(wrong.map(({ text }) => text)).toEqual([]);
    expect(compared.filter(({ found }) => found.obstacles.length === 0).length).toBeGreaterThan(30);
    expect(compared.filter(({ found }) => found.obstacles.length > 0).length).toBeGreaterThan(30);
  });

  test("are in it no later than the analysis says, and mostly just then", () => {
    const holding = compared.filter(({ found }) => found.obstacles.length === 0);
    const late = ({ fates, found }: (typeof holding)[number]) =>
      Math.max(0, ...fates.map(({ periods }) => periods ?? Infinity)) - found.ticks;
    expect(holding.filter((one) => late(one) > 0).map(({ text }) => text)).toEqual([]);
    expect(holding.filter((one) => late(one) === 0).length).toBeGreaterThan(0.7 * holding.length);
  });

  test("repeat after as many periods", () => {
    const holding = compared.filter(({ found }) => found.obstacles.length === 0);
    const wrong = holding.filter(
      ({ fates, found }) =>
        fates.reduce((ticks, { cyclePeriods }) => leastCommonMultiple(ticks, cyclePeriods), 1) !== found.cycleTicks,
    );
    expect(wrong.map(({ text }) => text)).toEqual([]);
  });
});
