import { describe, expect, test } from "vitest";
import { outsideFate } from "../../support/outside-fates.js";

const seeds = (count: number) => Array.from({ length: count }, (_, index) => index + 1);

describe("random circuits with a signal from outside", { timeout: 120_000 }, () => {
  const seen = seeds(400).flatMap((seed) => outsideFate(seed) ?? []);

  test("stay away from what the proof has seen exactly where following every state finds that they may", () => {
    const wrong = seen.filter(({ found, periods }) => found.obstacles.length > 0 !== (periods === Infinity));
    expect(wrong.map(({ text }) => text)).toEqual([]);
    expect(seen.filter(({ periods }) => periods === Infinity).length).toBeGreaterThan(3);
  });

  test("are there no later than the analysis says", () => {
    const late = seen.filter(({ found, periods }) => found.obstacles.length === 0 && periods > found.ticks);
    expect(late.map(({ text, periods, found }) => `${periods} ${found.ticks}\n${text}`)).toEqual([]);
    expect(seen.filter(({ found, periods }) => found.ticks > 1 && periods > 1).length).toBeGreaterThan(10);
  });
});
