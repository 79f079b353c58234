import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  byteTime,
  cyclesInTime,
  divide,
  fromPeriodPs,
  hertz,
  inHertz,
  mostDotsInLine,
  multiply,
  slotTime,
  timeOfCycles,
} from "../../src/raster/index.js";

const anyClock = fc.integer({ min: 1_000, max: 600_000_000 }).map(hertz);

describe("a frequency", () => {
  test("is exact: 1007 cycles of 25.175 MHz last 40 µs", () => {
    expect(timeOfCycles(hertz(25_175_000), 1007)).toBe(40e9);
    expect(timeOfCycles(hertz(25_175_000), 1007 * 200_000)).toBe(40e9 * 200_000);
  });

  test("takes decimals as they are written, and periods in picoseconds", () => {
    expect(hertz(12_587.5)).toEqual({ numerator: 25_175n, denominator: 2n });
    expect(timeOfCycles(fromPeriodPs(39_721), 3)).toBe(119_163_000);
  });

  test("comes back from a division and a multiplication by the same number", () => {
    fc.assert(
      fc.property(anyClock, fc.integer({ min: 1, max: 5000 }), (clock, by) => {
        expect(multiply(divide(clock, by), by)).toEqual(clock);
        expect(inHertz(divide(clock, by))).toBeCloseTo(inHertz(clock) / by, 6);
      }),
    );
  });

  test("gives times that are right to half a femtosecond, however many cycles", () => {
    fc.assert(
      fc.property(anyClock, fc.nat(1000), fc.nat(1000), (clock, a, b) => {
        const sum = timeOfCycles(clock, a) + timeOfCycles(clock, b);
        expect(Math.abs(sum - timeOfCycles(clock, a + b))).toBeLessThanOrEqual(1);
        expect(cyclesInTime(clock, timeOfCycles(clock, a))).toBeCloseTo(a, 6);
      }),
    );
  });

  test("cannot be nothing, negative or divided by a fraction", () => {
    for (const wrong of [0, -1, Number.NaN, Infinity]) expect(() => hertz(wrong)).toThrow(RangeError);
    expect(() => fromPeriodPs(0.5)).toThrow(RangeError);
    expect(() => divide(hertz(1), 1.5)).toThrow(RangeError);
    expect(() => multiply(hertz(1), 0)).toThrow(RangeError);
    expect(() => timeOfCycles(hertz(1), 0.3)).toThrow(RangeError);
  });
});

describe("slots", () => {
  test("of 320 dots a line at 25.175 MHz: a byte is 635.6 ns, each of two slots 317.8 ns", () => {
    const clock = divide(hertz(25_175_000), 2);
    expect(byteTime(clock, 8) / 1e6).toBeCloseTo(635.551, 3);
    expect(slotTime(clock, 8, 2) / 1e6).toBeCloseTo(317.776, 3);
  });

  test("fill no more than the byte", () => {
    fc.assert(
      fc.property(anyClock, fc.integer({ min: 1, max: 8 }), (clock, slots) => {
        const rest = byteTime(clock, 8) - slots * slotTime(clock, 8, slots);
        expect(rest).toBeGreaterThanOrEqual(0);
        expect(rest).toBeLessThan(slots);
      }),
    );
    expect(() => slotTime(hertz(1e6), 8, 0)).toThrow(RangeError);
  });

  test("lines of whole bytes are never slower than asked", () => {
    fc.assert(
      fc.property(anyClock, fc.integer({ min: 100, max: 1000 }).map(hertz), (clock, lineRate) => {
        const dots = mostDotsInLine(clock, lineRate, 8);
        expect(dots % 8).toBe(0);
        expect(cyclesInTime(clock, timeOfCycles(lineRate, 1)) - dots).toBeGreaterThan(-1e-6);
        expect(cyclesInTime(clock, timeOfCycles(lineRate, 1)) - dots).toBeLessThan(8 + 1e-6);
      }),
    );
  });
});
