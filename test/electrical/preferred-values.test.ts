import { describe, expect, test } from "vitest";
import { preferredValues, seriesWith } from "../../src/electrical/preferred-values.js";

/** IEC 60063, table 2: 100 times 10 to the power of i/n, rounded to three digits. */
const byRule = (count: number) => Array.from({ length: count }, (_, i) => Math.round(100 * 10 ** (i / count)));

describe("preferred values", () => {
  test("of E96 follow the standard's rule", () => {
    expect(preferredValues("E96", 100, 999)).toEqual(byRule(96));
  });

  test("of E24 follow the rule but for eight that the standard keeps from older lists", () => {
    const values = preferredValues("E24", 10, 99);
    expect(values).toHaveLength(24);
    expect(values.filter((value, i) => value !== Math.round(10 * 10 ** (i / 24)))).toEqual([
      27, 30, 33, 36, 39, 43, 47, 82,
    ]);
  });

  test("of E12 are every other one of E24", () => {
    expect(preferredValues("E12", 10, 99)).toEqual(preferredValues("E24", 10, 99).filter((_, i) => i % 2 === 0));
  });

  test("run over the decades, both ends included", () => {
    expect(preferredValues("E12", 8.2, 15)).toEqual([8.2, 10, 12, 15]);
    expect(preferredValues("E96", 1000, 1050)).toEqual([1000, 1020, 1050]);
    expect(preferredValues("E96", 10, 10.4)).toEqual([10, 10.2]);
  });

  test("belong to the first series that has them", () => {
    expect([470, 430, 432, 431].map(seriesWith)).toEqual(["E12", "E24", "E96", undefined]);
  });
});
