import { expect, test } from "vitest";
import { compareBuses } from "../support/found-in.js";

/** 300 circuits; others than in `npm test`. */
const SEEDS = Array.from({ length: 10 }, (_, index) => 1000 + 100 * index);
const CIRCUITS = 30;

test.each(SEEDS)("what is proved of one bit of a bus is true of every bit like it: buses from seed %i", (seed) => {
  const { differ, left } = compareBuses(seed, CIRCUITS);
  expect(differ).toEqual([]);
  expect(left).toBeGreaterThan(10 * CIRCUITS);
});
