import { expect, test } from "vitest";
import { tallyCorners } from "../support/every-corner.js";

/** Ten times a thousand boards; of other circuits than in `npm test`. */
const SEEDS = Array.from({ length: 10 }, (_, index) => 100_000 + 10_000 * index);
const BOARDS = 1000;

test.each(SEEDS)("no board at any corner of its delays beats a proved margin: circuits from seed %i", (seed) => {
  const { beaten, ...counts } = tallyCorners(seed, BOARDS);
  console.log(JSON.stringify(counts));
  expect(beaten).toEqual([]);
  expect(counts.attained).toBeGreaterThan(0.9 * counts.margins);
});
