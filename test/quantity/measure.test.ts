import { describe, expect, test } from "vitest";
import { type Measure, inPlainUnit, measure, parseMeasure, printMeasure } from "../../src/quantity/index.js";

describe("a figure is printed in the unit that a person would choose", () => {
  test.each<[Measure, string]>([
    [measure("voltage", 3_675_000), "3.675 V"],
    [measure("voltage", 2_400_000), "2.40 V"],
    [measure("voltage", -975_000), "-0.975 V"],
    [measure("voltage", 0), "0.00 V"],
    [measure("current", 4_000_000), "4.00 mA"],
    [measure("current", 20_000), "20.0 µA"],
    [measure("current", 400), "0.4 µA"],
    [measure("capacitance", 117_600), "117.6 pF"],
    [measure("capacitance", 100_000_000), "100.0 nF"],
    [measure("resistance", 4_700_000), "4.70 kΩ"],
    [measure("slope", 8_000_000), "8.0 ns/V"],
    [measure("time", -12_345_678), "-12.35 ns"],
    [measure("count", 7), "7"],
  ])("%j is %s", (figure, text) => {
    expect(printMeasure(figure)).toBe(text);
  });

  test("a shortfall never reads as nothing", () => {
    expect(printMeasure(measure("voltage", -1))).toBe("-0.001 V");
    expect(printMeasure(measure("time", -1))).toBe("-0.01 ns");
  });
});

describe("a margin is read in whatever unit it is written", () => {
  test.each<[string, Measure]>([
    ["-0.2 V", measure("voltage", -200_000)],
    ["-975 mV", measure("voltage", -975_000)],
    ["-4 mA", measure("current", -4_000_000)],
    ["-20 uA", measure("current", -20_000)],
    ["-40 pF", measure("capacitance", -40_000)],
    ["-2.3 ns/V", measure("slope", -2_300_000)],
    ["-120 mW", measure("power", -120_000_000)],
    ["-3 ns", measure("time", -3_000_000)],
    ["-2", measure("count", -2)],
  ])("%s", (text, figure) => {
    expect(parseMeasure(text)).toEqual({ value: figure });
  });

  test.each(["", "a lot", "-1.5", "-0.1 uV", "-3 furlongs"])("'%s' is refused", (text) => {
    expect(parseMeasure(text)).toHaveProperty("wrong");
  });
});

test("other programs get volts, milliamperes, picofarads and nanoseconds", () => {
  expect(inPlainUnit(measure("voltage", -975_000))).toEqual({ value: -0.975, unit: "V" });
  expect(inPlainUnit(measure("current", 400_000))).toEqual({ value: 0.4, unit: "mA" });
  expect(inPlainUnit(measure("time", 3_500_000))).toEqual({ value: 3.5, unit: "ns" });
});
