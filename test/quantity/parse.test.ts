import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type Misreading,
  type Reading,
  fs,
  isMisread,
  parseCelsiusRange,
  parseFarads,
  parseHertz,
  parseOhms,
  parsePercent,
  parsePpm,
  parseSeconds,
  parseTime,
  parseVoltRange,
  parseVolts,
  valueOf,
} from "../../src/quantity/index.js";

function misreadingOf<T>(reading: Reading<T>): Misreading {
  if (!isMisread(reading)) throw new Error(`read as ${String(reading.value)}`);
  return reading;
}

describe("times", () => {
  test.each([
    ["12.5 ns", 12_500_000],
    ["-3 ns", -3_000_000],
    ["\u22123 ns", -3_000_000],
    ["2.6 us", 2_600_000_000],
    ["2.6 µs", 2_600_000_000],
    ["2.6 \u03bcs", 2_600_000_000],
    ["100 ms", 100_000_000_000_000],
    ["1 s", 1e15],
    ["250ps", 250_000],
    ["7 fs", 7],
    ["0 ns", 0],
    ["0.000001 ns", 1],
  ])("%s is a whole number of femtoseconds", (text, femtoseconds) => {
    expect(valueOf(parseTime(text))).toBe(femtoseconds);
  });

  test.each([
    ["12", "the unit is missing"],
    ["ns", "it does not begin with a number"],
    ["", "it does not begin with a number"],
    ["12 V", "'V' is no unit of time"],
    ["12 NS", "'NS' is no unit of time"],
    ["1.2.3 ns", "'1.2.3' is no decimal number"],
    ["0.5 fs", "it is not a whole number of femtoseconds"],
    ["10 s", "it is longer than 9 s"],
    ["12 constructor", "'constructor' is no unit of time"],
  ])("'%s' is refused because %s", (text, why) => {
    const { wrong, expected } = misreadingOf(parseTime(text));
    expect(wrong).toBe(`'${text}' is no time: ${why}`);
    expect(expected).toBe("a number and fs, ps, ns, us, ms or s, such as 12.5 ns");
  });

  test("every whole number of femtoseconds written in any unit reads back exactly", () => {
    const units = [
      ["fs", 0],
      ["ps", 3],
      ["ns", 6],
      ["us", 9],
      ["ms", 12],
    ] as const;
    fc.assert(
      fc.property(
        fc.integer({ min: -9_000_000_000_000, max: 9_000_000_000_000 }),
        fc.constantFrom(...units),
        (time, [unit, power]) => {
          const digits = Math.abs(time)
            .toString()
            .padStart(power + 1, "0");
          const sign = time < 0 ? "-" : "";
          const whole = digits.slice(0, digits.length - power);
          const written = power === 0 ? whole : `${whole}.${digits.slice(digits.length - power)}`;
          expect(valueOf(parseTime(`${sign}${written} ${unit}`))).toBe(fs(time));
        },
      ),
    );
  });
});

describe("voltages and temperatures", () => {
  test.each([
    ["4.5 V to 5.5 V", 4.5, 5.5],
    ["4.5 to 5.5 V", 4.5, 5.5],
    ["4.5..5.5 V", 4.5, 5.5],
    ["5 V ± 10 %", 4.5, 5.5],
    ["5 V ±10%", 4.5, 5.5],
    ["5 V +- 10 %", 4.5, 5.5],
    ["5 V +/- 0.25 V", 4.75, 5.25],
    ["3.3 V ± 5 %", 3.135, 3.465],
    ["3.3 V ± 0.3 V", 3, 3.6],
    ["5 V", 5, 5],
  ])("a supply of %s runs from %d to %d volts, as exactly as a double can hold", (text, min, max) => {
    expect(valueOf(parseVoltRange(text))).toEqual({ min, max });
  });

  test.each([
    ["0 to 50 °C", 0, 50],
    ["-40 to 85 °C", -40, 85],
    ["-40 °C to 85 °C", -40, 85],
    ["25 degC", 25, 25],
    ["20 °C ± 5 °C", 15, 25],
  ])("an ambient of %s runs from %d to %d degrees", (text, min, max) => {
    expect(valueOf(parseCelsiusRange(text))).toEqual({ min, max });
  });

  test("a range from the higher end to the lower is refused", () => {
    expect(misreadingOf(parseVoltRange("5.5 V to 4.5 V")).wrong).toBe(
      "'5.5 V to 4.5 V' runs from the higher end to the lower",
    );
  });

  test("a range says which of its ends is wrong", () => {
    expect(misreadingOf(parseCelsiusRange("0 to 50 V")).wrong).toBe(
      "'50 V' is no temperature: 'V' is no unit of temperature",
    );
    expect(misreadingOf(parseVoltRange("5 ± 10 %")).wrong).toBe("'5' is no voltage: the unit is missing");
  });

  test("millivolts are a thousandth of a volt", () => {
    expect(valueOf(parseVolts("300 mV"))).toBe(0.3);
  });
});

describe("frequencies", () => {
  test.each([
    ["25.175 MHz", 25_175_000n, 1n],
    ["32.768 kHz", 32_768n, 1n],
    ["0.5 Hz", 1n, 2n],
    ["25.2/1.001 MHz", 3_600_000_000n, 143n],
  ])("%s is an exact fraction", (text, numerator, denominator) => {
    expect(valueOf(parseHertz(text))).toEqual({ numerator, denominator });
  });

  test.each(["0 MHz", "-1 MHz", "25/0 MHz", "25 / x MHz", "25 MHz/2"])("'%s' is refused", (text) => {
    expect(isMisread(parseHertz(text))).toBe(true);
  });
});

describe("other quantities", () => {
  test.each([
    ["470 ohm", 470],
    ["4.7 kohm", 4700],
    ["4.7 kΩ", 4700],
    ["75 \u2126", 75],
    ["1 Mohm", 1e6],
  ])("%s is %d ohms", (text, ohms) => {
    expect(valueOf(parseOhms(text))).toBe(ohms);
  });

  test.each([
    ["100 nF", 100e-9],
    ["22 pF", 22e-12],
    ["4.7 uF", 4.7e-6],
    ["4.7 µF", 4.7e-6],
  ])("%s is a capacitance", (text, farads) => {
    expect(valueOf(parseFarads(text))).toBe(farads);
  });

  test.each([
    ["135 ps", 135e-12],
    ["0.4 s", 0.4],
    ["9800000 s", 9.8e6],
  ])("%s is a time in seconds, however long", (text, seconds) => {
    expect(valueOf(parseSeconds(text))).toBe(seconds);
  });

  test("shares are read as fractions, parts per million as they are", () => {
    expect(valueOf(parsePercent("10 %"))).toBe(0.1);
    expect(valueOf(parsePpm("50 ppm"))).toBe(50);
  });
});

test("no text makes any reader throw, and every refusal is one short line", () => {
  const readers = [
    parseTime,
    parseVolts,
    parseVoltRange,
    parseCelsiusRange,
    parseHertz,
    parseOhms,
    parseFarads,
    parsePercent,
    parsePpm,
    parseSeconds,
  ];
  const nearly = fc
    .array(fc.constantFrom("1", "0", ".", "-", "±", " ", "ns", "V", "%", "to", "..", "MHz", "/", "e", "°C", "\n"), {
      maxLength: 12,
    })
    .map((pieces) => pieces.join(""));
  fc.assert(
    fc.property(fc.oneof(fc.string(), nearly), (text) => {
      const refusals = readers.flatMap((read) => {
        const reading: Reading<unknown> = read(text);
        return isMisread(reading) ? [reading] : [];
      });
      expect(refusals.filter(({ wrong }) => wrong.length > 200 || wrong.includes("\n"))).toEqual([]);
    }),
  );
});

test("a text too long to be meant is refused at once", () => {
  const texts = [`${"9".repeat(1_000_000)} ns`, `5${" ".repeat(1_000_000)}V`, "a".repeat(1_000_000)];
  for (const read of [parseTime, parseVolts, parseVoltRange, parseHertz]) {
    expect(texts.map((text) => isMisread<unknown>(read(text)))).toEqual([true, true, true]);
  }
});
