import type { Fs } from "./time.js";

/** What is measured, with the unit in which its amount is a whole number. */
export const BASE_UNITS = {
  time: "fs",
  voltage: "µV",
  current: "nA",
  capacitance: "fF",
  resistance: "mΩ",
  power: "nW",
  energy: "fJ",
  /** How slowly an edge crosses a threshold. */
  slope: "fs/V",
  count: "",
} as const;

export type Quantity = keyof typeof BASE_UNITS;

/** A figure: a whole number of its quantity's base unit, so that sums and differences are exact. */
export interface Measure<Q extends Quantity = Quantity> {
  readonly quantity: Q;
  /** In the base unit of the quantity. */
  readonly amount: number;
}

/** Voltages in whole microvolts. */
export type Microvolts = number & { readonly unit: "uV" };
/** Currents in whole nanoamperes. */
export type Nanoamps = number & { readonly unit: "nA" };
/** Capacitances in whole femtofarads. */
export type Femtofarads = number & { readonly unit: "fF" };

/** From volts as a sheet prints them, to the nearest microvolt. */
export function microvolts(volts: number): Microvolts {
  return whole(volts * 1e6) as Microvolts;
}

/** From milliamperes, to the nearest nanoampere. */
export function nanoamps(milliamperes: number): Nanoamps {
  return whole(milliamperes * 1e6) as Nanoamps;
}

/** From picofarads, to the nearest femtofarad. */
export function femtofarads(picofarads: number): Femtofarads {
  return whole(picofarads * 1e3) as Femtofarads;
}

/** The nearest whole number. Throws RangeError beyond exact integers. */
function whole(value: number): number {
  const rounded = Math.round(value) + 0;
  if (!Number.isSafeInteger(rounded)) throw new RangeError(`not an exact whole number: ${value}`);
  return rounded;
}

export function measure<Q extends Quantity>(quantity: Q, amount: number): Measure<Q> {
  return { quantity, amount: whole(amount) };
}

export function timeMeasure(time: Fs): Measure<"time"> {
  return { quantity: "time", amount: time };
}

/** Units of a quantity from the largest down: from which amount each is used, and how many base units it is. */
const SHOWN: Readonly<Record<Quantity, readonly { name: string; base: number; decimals: number; least?: number }[]>> = {
  time: [{ name: "ns", base: 1e6, decimals: 2 }],
  // Levels are given to millivolts, and mostly end in a nought: 0.665 V, 2.40 V.
  voltage: [{ name: "V", base: 1e6, decimals: 3, least: 2 }],
  current: [
    { name: "A", base: 1e9, decimals: 2 },
    { name: "mA", base: 1e6, decimals: 2 },
    { name: "µA", base: 1e3, decimals: 1 },
  ],
  capacitance: [
    { name: "µF", base: 1e9, decimals: 1 },
    { name: "nF", base: 1e6, decimals: 1 },
    { name: "pF", base: 1e3, decimals: 1 },
  ],
  resistance: [
    { name: "MΩ", base: 1e9, decimals: 2 },
    { name: "kΩ", base: 1e6, decimals: 2 },
    { name: "Ω", base: 1e3, decimals: 1 },
  ],
  power: [
    { name: "W", base: 1e9, decimals: 2 },
    { name: "mW", base: 1e6, decimals: 2 },
    { name: "µW", base: 1e3, decimals: 1 },
  ],
  energy: [
    { name: "µJ", base: 1e9, decimals: 2 },
    { name: "nJ", base: 1e6, decimals: 2 },
    { name: "pJ", base: 1e3, decimals: 1 },
  ],
  slope: [{ name: "ns/V", base: 1e6, decimals: 1 }],
  count: [{ name: "", base: 1, decimals: 0 }],
};

/** Prints a figure in the unit that a person would choose: `3.84 V`, `2.40 mA`, `20.0 µA`. A shortfall never reads as nothing. */
export function printMeasure({ quantity, amount }: Measure): string {
  const units = SHOWN[quantity];
  const unit = units.find(({ base }) => Math.abs(amount) >= base) ?? units[units.length - 1];
  if (!unit) throw new RangeError(`no unit of ${quantity}`);
  const { name, base, decimals, least = decimals } = unit;
  const rounded = (amount / base).toFixed(decimals);
  const exact = Number(rounded) === 0 && amount < 0 ? `-${(10 ** -decimals).toFixed(decimals)}` : rounded;
  const spare = decimals - least;
  const text = spare > 0 && exact.endsWith("0".repeat(spare)) ? exact.slice(0, -spare) : exact;
  return `${text === "-0" ? "0" : text} ${name}`.trim();
}

/** The amount in the SI unit without a prefix (times in ns, as everywhere in data), for other programs. */
export function inPlainUnit({ quantity, amount }: Measure): { readonly value: number; readonly unit: string } {
  const plain: Readonly<Record<Quantity, readonly [string, number]>> = {
    time: ["ns", 6],
    voltage: ["V", 6],
    current: ["mA", 6],
    capacitance: ["pF", 3],
    resistance: ["ohm", 3],
    power: ["mW", 6],
    energy: ["pJ", 3],
    slope: ["ns/V", 6],
    count: ["", 0],
  };
  const [unit, power] = plain[quantity];
  return { value: amount / 10 ** power, unit };
}
