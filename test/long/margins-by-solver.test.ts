import { afterAll, describe, expect, test } from "vitest";
import { type RacingTally, tallyRacing } from "../support/racing/racing-tally.js";

/** 40 times 500 circuits; others than in `npm test`. */
const SEEDS = Array.from({ length: 40 }, (_, index) => 1_000_000 + 10_000 * index);
const CIRCUITS = 500;

type Counts = Omit<RacingTally, "optimistic" | "neverChecked" | "left">;

describe("no board of twenty thousand random circuits has less than a proved margin", () => {
  const chunks: Counts[] = [];

  test.each(SEEDS)("random circuits from seed %i", { timeout: 900_000 }, async (seed) => {
    const { optimistic, neverChecked, left, ...counts } = await tallyRacing(seed, CIRCUITS);
    chunks.push(counts);
    console.log(JSON.stringify({ ...counts, left: Object.fromEntries(left) }));
    expect(optimistic).toEqual([]);
    expect(neverChecked).toEqual([]);
    expect(counts.circuits).toBe(CIRCUITS);
    expect(counts.exact).toBeGreaterThan(0.98 * (counts.held + counts.failed));
  });

  afterAll(() => {
    const sum = (of: (chunk: Counts) => number) => chunks.reduce((total, chunk) => total + of(chunk), 0);
    console.log(
      `${sum(({ circuits }) => circuits)} circuits: ${sum(({ held }) => held)} margins held, ` +
        `${sum(({ failed }) => failed)} failed, ${sum(({ exact }) => exact)} exact; ` +
        `${sum(({ bothJoins }) => bothJoins)} circuits with joins of the later and of the earlier edge, ` +
        `${sum(({ vanishingPulses }) => vanishingPulses)} with vanishing pulses, ` +
        `${sum(({ handOvers }) => handOvers)} with three-state hand-overs`,
    );
  });
});
