import * as z from "zod";
import file from "#data/parts/allowances.json" with { type: "json" };

const source = z.strictObject({ publisher: z.string(), document: z.string(), table: z.string() });
const pair = z.tuple([z.number(), z.number()]);

const table = z.strictObject({
  about: z.string(),
  loadSlopes: z.array(z.strictObject({ family: z.string(), rise: z.number(), fall: z.number(), source })),
  temperature: z.array(z.strictObject({ family: z.string(), factor: z.number(), ambient: pair, supply: pair, source })),
});

const allowances = table.parse(file);

/** How much a family's greatest delay grows with load: ns per pF beyond the test load, for rising and falling outputs. */
export type LoadSlope = (typeof allowances.loadSlopes)[number];

/** By what a family's 25 °C limits are widened to serve an ambient (°C) and supply (V) range that no sheet covers. */
export type TemperatureAllowance = (typeof allowances.temperature)[number];

/** Undefined where no sheet on record gives two loads. */
export function loadSlope(family: string): LoadSlope | undefined {
  return allowances.loadSlopes.find((slope) => slope.family === family);
}

/** Undefined for families whose sheets cover the range themselves. */
export function temperatureAllowance(family: string): TemperatureAllowance | undefined {
  return allowances.temperature.find((allowance) => allowance.family === family);
}
