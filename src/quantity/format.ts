import type { Hertz } from "./parse.js";
import type { Range } from "./range.js";
import type { Fs } from "./time.js";

/** Prints a time without rounding, so that it reads back as the same femtoseconds: `1.2712 us`, `-3 ns`, `12500001 fs`. */
export function printTime(time: Fs): string {
  const units = [
    { name: "ms", power: 12 },
    { name: "us", power: 9 },
    { name: "ns", power: 6 },
    { name: "ps", power: 3 },
  ];
  const unit = units.find(({ power }) => Math.abs(time) >= 10 ** power) ?? { name: "ns", power: 6 };
  return `${shift(BigInt(time), unit.power)} ${unit.name}`;
}

/** Prints volts as briefly as they read back: `4.5 V`. */
export function printVolts(volts: number): string {
  return `${plain(volts)} V`;
}

/** `4.5 V to 5.5 V`. */
export function printVoltRange({ min, max }: Range): string {
  return min === max ? printVolts(min) : `${printVolts(min)} to ${printVolts(max)}`;
}

/** `0 to 50 °C`. */
export function printCelsiusRange({ min, max }: Range): string {
  return min === max ? `${plain(min)} °C` : `${plain(min)} to ${plain(max)} °C`;
}

/** `10 %` from 0.1. */
export function printPercent(share: number): string {
  return `${scaled(share, 2)} %`;
}

/** `50 ppm`. */
export function printPpm(ppm: number): string {
  return `${plain(ppm)} ppm`;
}

/** `470 ohm`, `4.7 kohm`. */
export function printOhms(ohms: number): string {
  if (Math.abs(ohms) >= 1e6) return `${scaled(ohms, -6)} Mohm`;
  if (Math.abs(ohms) >= 1e3) return `${scaled(ohms, -3)} kohm`;
  return `${plain(ohms)} ohm`;
}

/** `100 nF`, `22 pF`, `4.7 uF`. */
export function printFarads(farads: number): string {
  if (Math.abs(farads) >= 1e-6) return `${scaled(farads, 6)} uF`;
  if (Math.abs(farads) >= 1e-9) return `${scaled(farads, 9)} nF`;
  return `${scaled(farads, 12)} pF`;
}

/** `25.175 MHz`; a frequency that no decimal number gives is printed as a quotient: `25200/1001 MHz`. */
export function printHertz({ numerator, denominator }: Hertz): string {
  const units = [
    { name: "GHz", power: 9 },
    { name: "MHz", power: 6 },
    { name: "kHz", power: 3 },
  ];
  const unit = units.find(({ power }) => numerator >= denominator * 10n ** BigInt(power)) ?? { name: "Hz", power: 0 };
  for (let decimals = 0; decimals <= 18; decimals++) {
    const times = numerator * 10n ** BigInt(decimals);
    if (times % denominator === 0n) return `${shift(times / denominator, unit.power + decimals)} ${unit.name}`;
  }
  return `${shift(numerator, unit.power)}/${denominator} ${unit.name}`;
}

/** The digits of `value` with the decimal point moved `places` to the left. */
function shift(value: bigint, places: number): string {
  const negative = value < 0n;
  const digits = (negative ? -value : value).toString().padStart(places + 1, "0");
  const whole = digits.slice(0, digits.length - places);
  const decimals = digits.slice(digits.length - places).replace(/0+$/, "");
  return `${negative ? "-" : ""}${whole}${decimals === "" ? "" : `.${decimals}`}`;
}

/** The shortest digits that read back as the same double, never with an exponent. */
function plain(value: number): string {
  return scaled(value, 0);
}

/** The shortest digits of `value`, with the decimal point moved `places` to the right. */
function scaled(value: number, places: number): string {
  const [mantissa = "0", power = "0"] = value.toExponential().split("e");
  const [whole = "0", decimals = ""] = mantissa.split(".");
  const exponent = Number(power) - decimals.length + places;
  const digits = BigInt(whole + decimals);
  return exponent >= 0 ? (digits * 10n ** BigInt(exponent)).toString() : shift(digits, -exponent);
}
