import * as z from "zod";
import file from "#data/electrical/ratings.json" with { type: "json" };
import { type Part, sourceLine } from "../parts/index.js";

const row = z.strictObject({
  family: z.string(),
  outputMilliamps: z.number().exactOptional(),
  busOutputMilliamps: z.number().exactOptional(),
  supplyMilliamps: z.number().exactOptional(),
  busSupplyMilliamps: z.number().exactOptional(),
  shortMilliamps: z.number().exactOptional(),
  busShortMilliamps: z.number().exactOptional(),
  dissipation: z.strictObject({
    milliwatts: z.number(),
    perKelvin: z.number().exactOptional(),
    fromCelsius: z.number().exactOptional(),
    fromMemory: z.boolean(),
  }),
  source: z.strictObject({ publisher: z.string(), document: z.string() }),
  fromMemory: z.boolean(),
});

const { ratings } = z.strictObject({ about: z.string(), ratings: z.array(row) }).parse(file);

/** A limit beyond which a part may be damaged, in milliamperes or milliwatts. */
export interface Rating {
  readonly limit: number;
  readonly source: string;
  readonly fromMemory: boolean;
}

/** What one output may carry; undefined where no rating is on record. */
export function outputRating(part: Part): Rating | undefined {
  const found = rowOf(part);
  const limit = isBusDriver(part) ? found?.busOutputMilliamps : found?.outputMilliamps;
  return found && limit !== undefined ? ratingOf(found, limit, found.fromMemory) : undefined;
}

/** What the supply or ground pin may carry. */
export function supplyRating(part: Part): Rating | undefined {
  const found = rowOf(part);
  const limit = isBusDriver(part) ? found?.busSupplyMilliamps : found?.supplyMilliamps;
  return found && limit !== undefined ? ratingOf(found, limit, found.fromMemory) : undefined;
}

/** What one bipolar output gives at most into a short circuit, in milliamperes; undefined for others. */
export function shortCircuitMilliamps(part: Part): number | undefined {
  const found = rowOf(part);
  return isBusDriver(part) ? found?.busShortMilliamps : found?.shortMilliamps;
}

/** What the package may dissipate in air of the given temperature in °C. */
export function dissipationRating(part: Part, celsius: number): Rating | undefined {
  const found = rowOf(part);
  if (!found) return undefined;
  const { milliwatts, perKelvin = 0, fromCelsius = celsius, fromMemory } = found.dissipation;
  const limit = milliwatts - perKelvin * Math.max(0, celsius - fromCelsius);
  return ratingOf(found, limit, fromMemory);
}

function ratingOf({ source }: z.infer<typeof row>, limit: number, fromMemory: boolean): Rating {
  return { limit, source: sourceLine({ ...source, table: "absolute maximum ratings", fromMemory }), fromMemory };
}

function rowOf({ family, levelsAs }: Part) {
  return ratings.find((one) => one.family === (levelsAs ?? family));
}

/** Three-state outputs are bus drivers: common practice, as in the HC family specifications. */
function isBusDriver({ behaviour }: Part): boolean {
  return behaviour.outputs.some(({ enable }) => enable);
}
