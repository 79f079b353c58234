import * as z from "zod";
import cans from "#data/oscillators/cans.json" with { type: "json" };
import stock from "#data/oscillators/stock.json" with { type: "json" };
import { type Hertz, fs, range } from "../quantity/index.js";
import type { Source } from "./figures.js";
import type { Oscillation } from "./part.js";

const series = z.strictObject({
  name: z.string(),
  supply: z.tuple([z.number(), z.number()]),
  ambient: z.tuple([z.number(), z.number()]),
  megahertz: z.tuple([z.number(), z.number()]),
  /** Greatest deviation in ppm, all causes together, by type number. */
  stability: z.record(z.string(), z.number()),
  halfSize: z.array(z.string()),
  duty: z.array(z.strictObject({ upTo: z.number(), least: z.number(), greatest: z.number(), at: z.string() })),
  jitterPsRms: z.number().exactOptional(),
  levels: z.string(),
  source: z.strictObject({ publisher: z.string(), document: z.string(), title: z.string() }),
});

const stockTable = z.strictObject({
  about: z.string(),
  source: z.string(),
  fromMemory: z.literal(true),
  megahertz: z.array(z.number()),
});

/** A series of oscillator cans as its sheet gives it. Supply in V, ambient in °C. */
export type CanSeries = z.infer<typeof series>;

export const canSeries: readonly CanSeries[] = z
  .strictObject({ about: z.string(), series: z.array(series) })
  .parse(cans).series;

/** Frequencies in MHz in which cans are commonly made: common practice, from memory. A list to check with a shop. */
export const stockFrequencies: readonly number[] = stockTable.parse(stock).megahertz;

/** The series behind a can that the circuit file names by frequency alone: 0.001 to 175 MHz, 4.5 to 5.5 V, 40 to 60 % duty. */
export const DEFAULT_SERIES = "M1280";

/** Of a can that names no stability. */
export const DEFAULT_STABILITY_PPM = 100;

/** Period limits from the nominal frequency and its tolerance, and duty from the series' row for that frequency. */
export function oscillationOf(of: CanSeries, type: string, hertz: Hertz, ppm: number): Oscillation {
  const megahertz = Number(hertz.numerator) / Number(hertz.denominator) / 1e6;
  const duty = of.duty.find(({ upTo }) => megahertz <= upTo) ?? of.duty.at(-1);
  const [least, greatest] = [duty?.least ?? 0.4, duty?.greatest ?? 0.6];
  const source: Source = {
    ...of.source,
    fromMemory: false,
    column: `${type}, ±${ppm} ppm, high ${least * 100} to ${greatest * 100} % of the period at ${duty?.at ?? "half the supply"}`,
  };
  return {
    hertz,
    period: range(periodAt(hertz, ppm, "down"), periodAt(hertz, -ppm, "up")),
    duty: range(least, greatest),
    source,
  };
}

/** 1e15 over the frequency raised by `ppm`, in whole femtoseconds. */
function periodAt({ numerator, denominator }: Hertz, ppm: number, rounding: "down" | "up") {
  const scale = 1000n; // thousandths of a ppm, so that fractions of a ppm stay exact
  const million = 1_000_000n * scale;
  const dividend = 1_000_000_000_000_000n * denominator * million;
  const divisor = numerator * (million + BigInt(Math.round(ppm * Number(scale))));
  const down = dividend / divisor;
  return fs(Number(rounding === "up" && down * divisor !== dividend ? down + 1n : down));
}
