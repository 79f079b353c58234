import { type Decimal, add, multiply, parseDecimal, toInteger, toNumber } from "./decimal.js";
import { BASE_UNITS, type Measure, type Quantity, measure, timeMeasure } from "./measure.js";
import { type Range, range } from "./range.js";
import { type Misreading, type Reading, isMisread } from "./reading.js";
import { type Fs, fs } from "./time.js";

/** A frequency in hertz as a fraction of whole numbers, exact: 25.175/1.001 MHz is one too. */
export interface Hertz {
  readonly numerator: bigint;
  readonly denominator: bigint;
}

/** One kind of quantity: its name for messages, its units as powers of ten of the base unit, and an example. */
interface Kind {
  readonly noun: string;
  readonly units: Readonly<Record<string, number>>;
  /** The units to name in a message; the others are other spellings. */
  readonly shown: string;
  readonly example: string;
}

const MICRO = ["u", "\u00b5", "\u03bc"]; // ASCII, the micro sign, the Greek letter
const OHM = ["ohm", "ohms", "\u03a9", "\u2126"]; // the Greek letter, the ohm sign

function micro(unit: string, power = -6): Record<string, number> {
  return Object.fromEntries(MICRO.map((prefix) => [prefix + unit, power]));
}

const TIME: Kind = {
  noun: "time",
  units: { fs: 0, ps: 3, ns: 6, ...micro("s", 9), ms: 12, s: 15 },
  shown: "fs, ps, ns, us, ms or s",
  example: "12.5 ns",
};
/** Femtoseconds of a second, as a power of ten. */
const FS_POWER = 15;
const VOLTAGE: Kind = {
  noun: "voltage",
  units: { V: 0, mV: -3, ...micro("V") },
  shown: "V or mV",
  example: "4.5 V",
};
const TEMPERATURE: Kind = {
  noun: "temperature",
  units: { "°C": 0, C: 0, degC: 0 },
  shown: "°C (or degC)",
  example: "25 °C",
};
const FREQUENCY: Kind = {
  noun: "frequency",
  units: { Hz: 0, kHz: 3, MHz: 6, GHz: 9 },
  shown: "Hz, kHz, MHz or GHz",
  example: "25.175 MHz",
};
const RESISTANCE: Kind = {
  noun: "resistance",
  units: Object.fromEntries(
    OHM.flatMap((ohm) => [
      [ohm, 0],
      [`k${ohm}`, 3],
      [`M${ohm}`, 6],
    ]),
  ),
  shown: "ohm, kohm, Mohm, Ω, kΩ or MΩ",
  example: "470 ohm",
};
const CAPACITANCE: Kind = {
  noun: "capacitance",
  units: { F: 0, mF: -3, ...micro("F"), nF: -9, pF: -12 },
  shown: "pF, nF, uF, mF or F",
  example: "100 nF",
};
const CURRENT: Kind = {
  noun: "current",
  units: { A: 0, mA: -3, ...micro("A"), nA: -9 },
  shown: "A, mA, uA or nA",
  example: "4 mA",
};
const POWER: Kind = { noun: "power", units: { W: 0, mW: -3, ...micro("W") }, shown: "W or mW", example: "120 mW" };
const ENERGY: Kind = {
  noun: "energy",
  units: { J: 0, mJ: -3, ...micro("J"), nJ: -9, pJ: -12 },
  shown: "J, mJ, uJ, nJ or pJ",
  example: "40 pJ",
};
const SLOPE: Kind = {
  noun: "edge rate",
  units: { "ps/V": 3, "ns/V": 6, "us/V": 9 },
  shown: "ps/V, ns/V or us/V",
  example: "20 ns/V",
};
const PERCENTAGE: Kind = { noun: "percentage", units: { "%": -2 }, shown: "%", example: "10 %" };
const PARTS_PER_MILLION: Kind = {
  noun: "number of parts per million",
  units: { ppm: 0 },
  shown: "ppm",
  example: "50 ppm",
};

/** A longer text is no quantity; matching it could take long. */
const LONGEST_TEXT = 100;

function expectedOf(kind: Kind): string {
  return `a number and ${kind.shown}, such as ${kind.example}`;
}

function misread(kind: Kind, text: string, why: string): Misreading {
  return { wrong: `'${shorten(text)}' is no ${kind.noun}: ${why}`, expected: expectedOf(kind) };
}

/** As a message quotes it: short, and on one line. */
function shorten(text: string): string {
  const line = text.slice(0, 200).replaceAll(/\s+/g, " ").trim();
  return line.length <= 40 ? line : `${line.slice(0, 37)}...`;
}

/** A number and its unit, in the kind's base unit. `inherited` is the unit of a number that has none of its own. */
function parseAmount(kind: Kind, text: string, inherited?: string): Reading<Decimal> {
  if (text.length > LONGEST_TEXT) return misread(kind, text, "it is too long");
  const match = /^([+\u2212\u2013-]?[\d.]+)\s*(.*)$/u.exec(text.trim());
  if (!match) return misread(kind, text, "it does not begin with a number");
  const [, digits = "", unit = ""] = match;
  const number = parseDecimal(digits);
  if (!number) return misread(kind, text, `'${shorten(digits)}' is no decimal number`);
  const used = unit === "" && inherited !== undefined ? inherited : unit;
  if (used === "") return misread(kind, text, "the unit is missing");
  const power = Object.hasOwn(kind.units, used) ? kind.units[used] : undefined;
  if (power === undefined) return misread(kind, text, `'${shorten(used)}' is no unit of ${kind.noun}`);
  return { value: multiply(number, { digits: 1n, exponent: power }) };
}

function then<A, B>(reading: Reading<A>, next: (value: A) => Reading<B>): Reading<B> {
  return isMisread(reading) ? reading : next(reading.value);
}

/** Reads `38 ns`, `1.27 us`, `-3 ns`. Times finer than a femtosecond or beyond 9 s are refused, never rounded. */
export function parseTime(text: string): Reading<Fs> {
  return then(parseAmount(TIME, text), (amount) => {
    const whole = toInteger(amount);
    if (whole === undefined) return misread(TIME, text, "it is not a whole number of femtoseconds");
    const size = Number(whole);
    if (!Number.isSafeInteger(size)) return misread(TIME, text, "it is longer than 9 s");
    return { value: fs(size) };
  });
}

/** Reads `1.5 ns`, `0.4 s`, `9800000 s` to seconds, without the limits of `parseTime`. */
export function parseSeconds(text: string): Reading<number> {
  return then(parseAmount(TIME, text), (amount) => ({
    value: toNumber({ ...amount, exponent: amount.exponent - FS_POWER }),
  }));
}

/** Kinds that a margin may be of besides a time, and the power of ten of the base unit of their measure. */
const MEASURED: readonly { readonly quantity: Quantity; readonly kind: Kind; readonly basePower: number }[] = [
  { quantity: "voltage", kind: VOLTAGE, basePower: -6 },
  { quantity: "current", kind: CURRENT, basePower: -9 },
  { quantity: "capacitance", kind: CAPACITANCE, basePower: -15 },
  { quantity: "resistance", kind: RESISTANCE, basePower: -3 },
  { quantity: "power", kind: POWER, basePower: -9 },
  { quantity: "energy", kind: ENERGY, basePower: -15 },
  { quantity: "slope", kind: SLOPE, basePower: 0 },
];

/** Reads a figure of whatever its unit says: `-3 ns`, `-0.2 V`, `-4 mA`, `-40 pF`; a number alone is a count. */
export function parseMeasure(text: string): Reading<Measure> {
  const unit = /^[+\u2212\u2013-]?[\d.]+\s*(.*)$/u.exec(text.trim())?.[1];
  if (unit === "" && text.length <= LONGEST_TEXT) {
    const count = toInteger(parseDecimal(text.trim()) ?? { digits: 0n, exponent: -1 });
    if (count !== undefined && Number.isSafeInteger(Number(count))) return { value: measure("count", Number(count)) };
  }
  const found = MEASURED.find(({ kind }) => unit !== undefined && Object.hasOwn(kind.units, unit));
  if (!found) return then(parseTime(text), (time) => ({ value: timeMeasure(time) }));
  const { quantity, kind, basePower } = found;
  return then(parseAmount(kind, text), (amount) => {
    const whole = toInteger({ ...amount, exponent: amount.exponent - basePower });
    const size = whole === undefined ? Number.NaN : Number(whole);
    if (!Number.isSafeInteger(size)) return misread(kind, text, `it is not a whole number of ${BASE_UNITS[quantity]}`);
    return { value: measure(quantity, size) };
  });
}

/** Reads `4.5 V`, `300 mV` to volts. */
export function parseVolts(text: string): Reading<number> {
  return then(parseAmount(VOLTAGE, text), (amount) => ({ value: toNumber(amount) }));
}

/** Reads `470 ohm`, `4.7 kΩ` to ohms. */
export function parseOhms(text: string): Reading<number> {
  return then(parseAmount(RESISTANCE, text), (amount) => ({ value: toNumber(amount) }));
}

/** Reads `100 nF`, `22 pF` to farads. */
export function parseFarads(text: string): Reading<number> {
  return then(parseAmount(CAPACITANCE, text), (amount) => ({ value: toNumber(amount) }));
}

/** Reads `10 %` to 0.1. */
export function parsePercent(text: string): Reading<number> {
  return then(parseAmount(PERCENTAGE, text), (amount) => ({ value: toNumber(amount) }));
}

/** Reads `50 ppm` to 50. */
export function parsePpm(text: string): Reading<number> {
  return then(parseAmount(PARTS_PER_MILLION, text), (amount) => ({ value: toNumber(amount) }));
}

/** Reads `25.175 MHz`, `12 MHz`, also a quotient in one unit: `25.2/1.001 MHz`. Zero and below are refused. */
export function parseHertz(text: string): Reading<Hertz> {
  if (text.length > LONGEST_TEXT) return misread(FREQUENCY, text, "it is too long");
  const quotient = /^\s*([\d.]+)\s*\/\s*([\d.]+)\s*(\D*)$/.exec(text);
  const above = quotient ? `${quotient[1]} ${quotient[3]}` : text;
  return then(parseAmount(FREQUENCY, above), (amount) => {
    const divisor = quotient ? parseDecimal(quotient[2] ?? "") : { digits: 1n, exponent: 0 };
    if (!divisor) return misread(FREQUENCY, text, `'${quotient?.[2]}' is no decimal number`);
    if (amount.digits <= 0n || divisor.digits <= 0n) return misread(FREQUENCY, text, "it is not above zero");
    return { value: fraction(amount, divisor) };
  });
}

/** Reads `4.5 V to 5.5 V`, `4.5 to 5.5 V`, `5 V ± 10 %`, `5 ± 0.25 V`, `5 V +- 0.25 V`, `5 V` to volts; exact before the last step. */
export function parseVoltRange(text: string): Reading<Range> {
  return parseRange(VOLTAGE, text, "4.5 V to 5.5 V or 5 V ± 10 %");
}

/** Reads `0 to 50 °C`, `25 °C`, `25 °C ± 5 °C` to degrees Celsius. */
export function parseCelsiusRange(text: string): Reading<Range> {
  return parseRange(TEMPERATURE, text, "0 to 50 °C");
}

/** Reads `11.2 ns ± 0.8 ns`, `11.2 ± 0.8 ns`, `10.4 to 12 ns`; ends finer than a femtosecond are refused, never rounded. */
export function parseTimeRange(text: string): Reading<Range<Fs>> {
  const expected = "a time with its uncertainty, such as 11.2 ± 0.8 ns or 10.4 to 12 ns";
  const ends = rangeEnds(TIME, text);
  if (isMisread(ends)) return { ...ends, expected };
  const [low, high] = ends.value.map((end) => Number(toInteger(end) ?? Number.NaN)) as [number, number];
  if (!Number.isSafeInteger(low) || !Number.isSafeInteger(high)) {
    return { wrong: `'${shorten(text)}' is finer than a femtosecond or longer than 9 s`, expected };
  }
  if (low > high) return { wrong: `'${shorten(text)}' runs from the higher end to the lower`, expected };
  return { value: range(fs(low), fs(high)) };
}

function parseRange(kind: Kind, text: string, example: string): Reading<Range> {
  const expected = `a range with its unit, such as ${example}`;
  const amounts = rangeEnds(kind, text);
  if (isMisread(amounts)) return { ...amounts, expected };
  const [low, high] = amounts.value.map(toNumber) as [number, number];
  if (low > high) return { wrong: `'${shorten(text)}' runs from the higher end to the lower`, expected };
  return { value: range(low, high) };
}

function rangeEnds(kind: Kind, text: string): Reading<readonly [Decimal, Decimal]> {
  if (text.length > LONGEST_TEXT) return misread(kind, text, "it is too long");
  const around = /^(.*?)(?:±|\+\/?-)(.*)$/u.exec(text);
  if (around) {
    const [, centre = "", spread = ""] = around;
    const unit = spread.trim().endsWith("%") ? undefined : /[^\d.\s]*$/u.exec(spread.trim())?.[0];
    return then(parseAmount(kind, centre, unit), (middle) =>
      then(parseSpread(kind, spread, middle), (half) => ({
        value: [add(middle, { ...half, digits: -half.digits }), add(middle, half)] as const,
      })),
    );
  }
  const [from = "", to] = text.split(/\s+to\s+|\s*\.\.\.?\s*|\s*\u2026\s*/u);
  if (to === undefined) return then(parseAmount(kind, from), (value) => ({ value: [value, value] as const }));
  const unit = /[^\d.\s]*$/u.exec(to.trim())?.[0] ?? "";
  return then(parseAmount(kind, to), (high) =>
    then(parseAmount(kind, from, unit), (low) => ({ value: [low, high] as const })),
  );
}

/** What stands behind the ±: a share of the middle (`10 %`) or an amount (`0.25 V`). */
function parseSpread(kind: Kind, text: string, middle: Decimal): Reading<Decimal> {
  if (!text.trim().endsWith("%")) return parseAmount(kind, text);
  return then(parseAmount(PERCENTAGE, text), (share) => {
    const product = multiply(middle, share);
    return { value: product.digits < 0n ? { ...product, digits: -product.digits } : product };
  });
}

function fraction(above: Decimal, below: Decimal): Hertz {
  const exponent = above.exponent - below.exponent;
  const numerator = above.digits * 10n ** BigInt(Math.max(exponent, 0));
  const denominator = below.digits * 10n ** BigInt(Math.max(-exponent, 0));
  const divisor = greatestCommonDivisor(numerator, denominator);
  return { numerator: numerator / divisor, denominator: denominator / divisor };
}

function greatestCommonDivisor(a: bigint, b: bigint): bigint {
  return b === 0n ? a : greatestCommonDivisor(b, a % b);
}
