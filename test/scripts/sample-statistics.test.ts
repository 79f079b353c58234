import { expect, test } from "vitest";
import { sampleOf, scoreInterval } from "../../scripts/mutants/statistics.mjs";

/** Published examples of the score interval in a comparison of seven methods (Statistics in Medicine 17, 1998); from memory. */
test.each([
  [81, 263, 0.2553, 0.3662],
  [15, 148, 0.0624, 0.1605],
  [0, 20, 0, 0.1611],
  [1, 29, 0.0061, 0.1718],
])("%i of %i in a sample is %f to %f of the whole with 95 %% confidence", (hits, size, least, most) => {
  const found = scoreInterval(hits, size);
  expect(found.least).toBeCloseTo(least, 4);
  expect(found.most).toBeCloseTo(most, 4);
});

test("a sample takes nothing twice, and the same for the same seed", () => {
  const all = Array.from({ length: 50 }, (_, index) => index);
  const [one, again, other] = [7, 7, 8].map((seed) => sampleOf(all, 20, seed));
  expect(new Set(one).size).toBe(20);
  expect(again).toEqual(one);
  expect(other).not.toEqual(one);
  expect(sampleOf(all, 60, 1).sort((a, b) => a - b)).toEqual(all);
});

/** Each of 100 is in a sample of 10 with probability 0.1: of 10,000 samples in 1000, give or take 30. */
test("each is equally likely to be in a sample", () => {
  const counts = Array.from({ length: 100 }, () => 0);
  const all = counts.map((_, index) => index);
  for (let seed = 1; seed <= 10_000; seed++)
    for (const one of sampleOf(all, 10, seed)) counts[one] = (counts[one] ?? 0) + 1;
  expect(Math.min(...counts)).toBeGreaterThan(1000 - 5 * 30);
  expect(Math.max(...counts)).toBeLessThan(1000 + 5 * 30);
});
