import { describe, expect, test } from "vitest";
import { tallyRacing } from "../support/racing/racing-tally.js";

/** 40 times 500 circuits; others than in `npm test`. */
const SEEDS = Array.from({ length: 40 }, (_, index) => 1_000_000 + 10_000 * index);
const CIRCUITS = 500;

describe("no board of twenty thousand random circuits has less than a proved margin", () => {
  test.each(SEEDS)("random circuits from seed %i", { timeout: 900_000 }, async (seed) => {
    const { optimistic, neverChecked, left, ...counts } = await tallyRacing(seed, CIRCUITS);
    console.log(JSON.stringify({ ...counts, left: Object.fromEntries(left) }));
    expect(optimistic).toEqual([]);
    expect(neverChecked).toEqual([]);
    expect(counts.circuits).toBe(CIRCUITS);
    expect(counts.exact).toBeGreaterThan(0.85 * (counts.held + counts.failed));
  });
});
