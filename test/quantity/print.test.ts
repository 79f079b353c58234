import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  fs,
  parseCelsiusRange,
  parseFarads,
  parseHertz,
  parseOhms,
  parsePercent,
  parsePpm,
  parseTime,
  parseVoltRange,
  parseVolts,
  printCelsiusRange,
  printFarads,
  printHertz,
  printOhms,
  printPercent,
  printPpm,
  printTime,
  printVoltRange,
  printVolts,
  range,
  valueOf,
} from "../../src/quantity/index.js";

const RUNS = { numRuns: 500 };
const magnitude = fc.double({ min: 1e-12, max: 1e12, noNaN: true });

describe("what is printed reads back exactly", () => {
  test("times", () => {
    fc.assert(
      fc.property(fc.maxSafeInteger(), (value) => {
        expect(valueOf(parseTime(printTime(fs(value))))).toBe(value);
      }),
      RUNS,
    );
  });

  test("frequencies, also those that no decimal number gives", () => {
    const whole = fc.bigInt({ min: 1n, max: 10n ** 12n });
    fc.assert(
      fc.property(whole, fc.bigInt({ min: 1n, max: 10n ** 6n }), (above, below) => {
        const { numerator, denominator } = valueOf(parseHertz(printHertz({ numerator: above, denominator: below })));
        expect(numerator * below).toBe(above * denominator);
      }),
      RUNS,
    );
  });

  test("voltages and temperatures", () => {
    const end = fc.double({ min: -1000, max: 1000, noNaN: true }).filter((value) => Math.abs(value) > 1e-9);
    fc.assert(
      fc.property(end, end, (a, b) => {
        const ends = range(Math.min(a, b), Math.max(a, b));
        expect(valueOf(parseVolts(printVolts(a)))).toBe(a);
        expect(valueOf(parseVoltRange(printVoltRange(ends)))).toEqual(ends);
        expect(valueOf(parseCelsiusRange(printCelsiusRange(ends)))).toEqual(ends);
      }),
      RUNS,
    );
  });

  test("resistances, capacitances and shares", () => {
    fc.assert(
      fc.property(magnitude, (value) => {
        expect(valueOf(parseOhms(printOhms(value)))).toBe(value);
        expect(valueOf(parseFarads(printFarads(value)))).toBe(value);
        expect(valueOf(parsePercent(printPercent(value)))).toBe(value);
        expect(valueOf(parsePpm(printPpm(value)))).toBe(value);
      }),
      RUNS,
    );
  });
});

test("quantities are printed in the unit that a person would choose", () => {
  expect(printTime(fs(38_000_000))).toBe("38 ns");
  expect(printTime(fs(-3_000_000))).toBe("-3 ns");
  expect(printTime(fs(1_271_200_000))).toBe("1.2712 us");
  expect(printTime(fs(0))).toBe("0 ns");
  expect(printVoltRange(range(4.5, 5.5))).toBe("4.5 V to 5.5 V");
  expect(printCelsiusRange(range(0, 50))).toBe("0 to 50 °C");
  expect(printHertz({ numerator: 25_175_000n, denominator: 1n })).toBe("25.175 MHz");
  expect(printHertz({ numerator: 25_200_000_000n, denominator: 1001n })).toBe("25200/1001 MHz");
  expect(printOhms(4700)).toBe("4.7 kohm");
  expect(printFarads(100e-9)).toBe("100 nF");
  expect(printPercent(0.1)).toBe("10 %");
});
