import { describe, expect, test } from "vitest";
import { resetFate } from "../../support/reset-fates.js";

const seeds = (count: number) => Array.from({ length: count }, (_, index) => index + 1);

describe("random circuits with a reset", { timeout: 120_000 }, () => {
  const seen = seeds(1500).flatMap((seed) => resetFate(seed) ?? []);

  test("are said to be mended by it only where every way of letting it go leads to a proved state", () => {
    expect(seen.filter(({ isLost, isMended: mended }) => isLost && mended).map(({ text }) => text)).toEqual([]);
  });

  test("include many that it mends and many that it does not", () => {
    expect(seen.filter((one) => one.isMended).length).toBeGreaterThan(8);
    expect(seen.filter((one) => one.isLost).length).toBeGreaterThan(8);
  });

  test("are rarely said to stay lost where they do not: a flip-flop may take the release by itself", () => {
    const strict = seen.filter(({ isLost, isMended: mended }) => !isLost && !mended);
    expect(strict.length).toBeLessThan(0.25 * seen.length);
  });
});
