import { describe, expect, test } from "vitest";
import { arcsOf, families, functionsOf, listPartNumbers, requirementsOf } from "../../src/parts/index.js";
import { isMissing, part, usualConditions } from "./conditions.js";

interface Covered {
  readonly found: number;
  readonly missing: readonly string[];
}

/** Asks a part for every delay and every requirement that its behaviour declares. */
function coverage(number: string, family: string): { readonly delays: Covered; readonly requirements: Covered } {
  const { behaviour, figures } = part(number, usualConditions(family));
  const asked = requirementsOf(behaviour);
  const sort = (answers: readonly object[]): Covered => ({
    found: answers.filter((answer) => !isMissing(answer)).length,
    missing: answers.flatMap((answer) => (isMissing(answer) ? [answer.missing] : [])),
  });
  return {
    delays: sort(
      arcsOf(behaviour).flatMap(({ from, to, moves }) =>
        moves.map(({ edge, change }) => figures.delay(from, edge, to, change)),
      ),
    ),
    requirements: sort([
      ...asked.windows.map(({ pin, reference }) => figures.window("set-up", pin, reference)),
      ...asked.windows.flatMap(({ pin, reference, hold }) => (hold ? [figures.window("hold", pin, reference)] : [])),
      ...asked.widths.map(({ pin, level }) => figures.width(pin, level)),
      ...asked.recoveries.map(({ pin, reference }) => figures.recovery(pin, reference)),
      ...asked.clocks.map(({ pin }) => figures.period(pin)),
    ]),
  };
}

/** Percent of the declared delays and requirements that have figures: what is on record, not to shrink unnoticed. */
const leastPercent: Readonly<Record<string, readonly [delays: number, requirements: number]>> = {
  HC: [93, 93],
  HCT: [93, 91],
  AC: [72, 69],
  ACT: [85, 73],
  AHC: [92, 87],
  AHCT: [88, 84],
  VHC: [87, 5],
  VHCT: [100, 0],
  LVC: [86, 67],
  LS: [92, 85],
  ALS: [90, 68],
  F: [80, 100],
};

describe.each(families)("74%s", (family) => {
  const parts = functionsOf(family).map((fn) => ({
    number: `74${family}${fn}`,
    ...coverage(`74${family}${fn}`, family),
  }));
  const count = (covered: readonly Covered[]) => {
    const found = covered.reduce((sum, one) => sum + one.found, 0);
    const missing = covered.reduce((sum, one) => sum + one.missing.length, 0);
    return found + missing === 0 ? 100 : (100 * found) / (found + missing);
  };

  test("has figures for what its functions declare, up to the gaps on record", () => {
    const [delays, requirements] = leastPercent[family] ?? [100, 100];
    expect(count(parts.map((one) => one.delays))).toBeGreaterThanOrEqual(delays);
    expect(count(parts.map((one) => one.requirements))).toBeGreaterThanOrEqual(requirements);
  });

  test("names part, pins and conditions wherever a figure is missing", () => {
    const unnamed = parts.flatMap(({ number, delays, requirements }) =>
      [...delays.missing, ...requirements.missing].filter(
        (text) => !text.startsWith(`${number} `) || !/, [\d.]+ to [\d.]+ V, 0 to 50 °C$/.test(text),
      ),
    );
    expect(unnamed).toEqual([]);
  });
});

// What a display circuit is built of must be judged in full; the rest of each line is what no sheet on record gives.
test.each([
  ..."00 02 04 08 10 11 20 21 27 30 32 86 14 74 138 139 157 161 163 164 165 174 175 244 257 273 373 374 377 393 541 573 574 688"
    .split(" ")
    .map((fn) => `74HC${fn}`),
  ..."00 02 04 08 32 74 138 157 164 165 244 257 273 373 374 393 541 573 574".split(" ").map((fn) => `74HCT${fn}`),
  ..."00 04 08 32 74 163 244 374".split(" ").map((fn) => `74F${fn}`),
  ..."00 04 08 32 244 541 574".split(" ").map((fn) => `74AHC${fn}`),
  ..."00 04 08 14 32 74 138 244 541 573 574".split(" ").map((fn) => `74AHCT${fn}`),
  ..."00 04 08 14 32 74 138 244 574".split(" ").map((fn) => `74AC${fn}`),
])("%s has every delay and requirement that its behaviour declares", (number) => {
  const family = /^74([A-Z]+)/.exec(number)?.[1] ?? "";
  const { delays, requirements } = coverage(number, family);
  expect([...delays.missing, ...requirements.missing]).toEqual([]);
  expect(delays.found).toBeGreaterThan(0);
});

test("a 74ALS166 shifting with its clock inhibit low has every figure it needs", () => {
  const { figures } = part("74ALS166");
  for (const pin of ["SER", "A", "H", "SH/LD#"]) {
    expect(figures.window("set-up", pin, "CLK")).toHaveProperty("time");
    expect(figures.window("hold", pin, "CLK")).toHaveProperty("time");
  }
});

test("every number in the catalogue's list is a part whose figures all have a source and lie in order", () => {
  const numbers = listPartNumbers();
  expect(new Set(numbers).size).toBe(numbers.length);
  const wrong: string[] = [];
  for (const number of numbers) {
    const family = /^74(LVC)/.exec(number)?.[1] ?? "";
    const { figures, behaviour } = part(number, usualConditions(family));
    for (const { from, to, moves } of arcsOf(behaviour)) {
      for (const { edge, change } of moves) {
        const delay = figures.delay(from, edge, to, change);
        if (isMissing(delay)) continue;
        const { min, typical, max, source } = delay;
        if (!(min <= typical && typical <= max)) wrong.push(`${number} ${from} to ${to}: out of order`);
        if (!source.publisher || !source.document || !source.column)
          wrong.push(`${number} ${from} to ${to}: no source`);
      }
    }
  }
  expect(wrong).toEqual([]);
});
