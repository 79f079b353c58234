import * as z from "zod";
import file from "../data/worked-electrical.json" with { type: "json" };

const pair = z.tuple([z.number(), z.number()]);

/** Worked examples and figures from outside, each with its source. Volts, mA, pF, ns. */
export const worked = z
  .strictObject({
    margins: z.array(
      z.strictObject({
        source: z.string(),
        volts: z.strictObject({ VOH: z.number(), VIH: z.number(), VIL: z.number(), VOL: z.number() }),
        high: z.number(),
        low: z.number(),
      }),
    ),
    fanOut: z.array(
      z.strictObject({
        source: z.string(),
        milliamps: z.strictObject({ IOH: z.number(), IIH: z.number(), IOL: z.number(), IIL: z.number() }),
        high: z.number(),
        low: z.number(),
      }),
    ),
    totals: z.array(
      z.strictObject({
        source: z.string(),
        level: z.literal(["high", "low"]),
        inputs: z.number(),
        milliamps: z.number(),
        total: z.number(),
      }),
    ),
    families: z.array(
      z.strictObject({
        source: z.string(),
        fromMemory: z.boolean(),
        driver: z.string(),
        output: z.string(),
        receiver: z.string(),
        most: z.number(),
        level: z.literal(["high", "low"]),
      }),
    ),
    interfaces: z.array(
      z.strictObject({
        source: z.string(),
        driver: z.string(),
        output: z.string(),
        driverSupply: z.string().optional(),
        receiver: z.string(),
        input: z.string(),
        supply: z.string().optional(),
        state: z.literal(["holds", "fails"]),
      }),
    ),
    loads: z.array(
      z.strictObject({ source: z.string(), part: z.string(), pin: z.string(), picofarads: pair, max25: pair }),
    ),
  })
  .parse(file);
