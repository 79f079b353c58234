import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { canSeries, findPart, isPartProblem, stockFrequencies } from "../../src/parts/index.js";
import { atHome, isMissing, part } from "./conditions.js";

function oscillation(number: string) {
  const found = part(number).oscillation;
  if (found === undefined) throw new Error(`${number} does not oscillate`);
  return found;
}

test("a can named by its frequency has 100 ppm and a duty of 40 to 60 %, from a sheet", () => {
  const { hertz, period, duty, source } = oscillation("OSC-25.175MHz");
  expect(hertz).toEqual({ numerator: 25_175_000n, denominator: 1n });
  // 1e15 fs over 25.175 MHz x 1.0001 and x 0.9999, rounded outwards.
  expect(period).toEqual({ min: 39_717_974, max: 39_725_919 });
  expect(duty).toEqual({ min: 0.4, max: 0.6 });
  expect(source).toMatchObject({ publisher: "MF Electronics", fromMemory: false });
});

test("half a period less the duty's tolerance is the least high time: 15.89 ns at 25.175 MHz", () => {
  const { period, duty } = oscillation("OSC-25.175MHz");
  expect((period.min * duty.min) / 1e6).toBeCloseTo(15.89, 2);
});

test("a stated stability narrows the period", () => {
  const [wide, narrow] = [oscillation("OSC-25.175MHz").period, oscillation("OSC-25.175MHz-50ppm").period];
  expect(narrow.min).toBeGreaterThan(wide.min);
  expect(narrow.max).toBeLessThan(wide.max);
  expect((narrow.max - narrow.min) / (wide.max - wide.min)).toBeCloseTo(0.5, 3);
});

test("a maker's type number brings its own stability, duty and can", () => {
  expect(oscillation("K1100AM-25.175MHz").source.publisher).toBe("Motorola Component Products");
  expect(oscillation("GXO-U100F-25.175MHz").duty).toEqual({ min: 0.45, max: 0.55 });
  expect(part("GXO-U100H-40MHz").package.name).toBe("DIP-8 can");
  expect(part("M1280-40MHz").package.name).toBe("DIP-14 can");
});

test("a fraction of two numbers is kept exact", () => {
  expect(oscillation("OSC-315/22MHz").hertz).toMatchObject({ numerator: 157_500_000n, denominator: 11n });
});

test("the true period always lies inside the limits, which are no wider than rounding needs", () => {
  fc.assert(
    fc.property(fc.integer({ min: 1_000, max: 175_000_000 }), fc.constantFrom(20, 25, 50, 100), (hertz, ppm) => {
      const { period } = oscillation(`OSC-${hertz}Hz-${ppm}ppm`);
      const fastest = 1e15 / (hertz * (1 + ppm / 1e6));
      const slowest = 1e15 / (hertz * (1 - ppm / 1e6));
      const slack = 1.001 + slowest * 1e-15; // one femtosecond, and the check's own floating point
      expect(period.min <= fastest + slack - 1 && fastest - period.min < slack).toBe(true);
      expect(period.max >= slowest - slack + 1 && period.max - slowest < slack).toBe(true);
    }),
  );
});

describe("the catalogue", () => {
  test("refuses a frequency that the series is not made for, and a series that it does not know", () => {
    const fast = findPart("OSC-500MHz", atHome);
    expect(isPartProblem(fast) && fast.problem).toContain("0.001 to 175 MHz");
    const unknown = findPart("XYZ-25.175MHz", atHome);
    expect(isPartProblem(unknown) && unknown.suggestions).toContain("OSC-25.175MHz");
  });

  test("has a source for every series and a duty row for all its frequencies", () => {
    const lacking = canSeries.filter(
      ({ source, duty, megahertz }) =>
        !source.publisher ||
        !source.document ||
        (duty.at(-1)?.upTo ?? 0) < megahertz[1] ||
        duty.some(({ least, greatest }) => least < 0.3 || least >= 0.5 || greatest <= 0.5 || greatest > 0.7),
    );
    expect(lacking).toEqual([]);
  });

  test("lists the frequencies that shops commonly have, those of common rasters among them", () => {
    for (const megahertz of [25.175, 28.322, 36, 40, 65, 13.5]) expect(stockFrequencies).toContain(megahertz);
  });

  test("gives a can no delays", () => {
    expect(isMissing(part("OSC-25.175MHz").figures.delay("OE", "rise", "OUT", "rise"))).toBe(true);
  });
});
