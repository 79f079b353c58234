import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import * as z from "zod";
import { type Change, inNs, isMissing, onTheBenchPart } from "./conditions.js";

const step = z.union([
  z.strictObject({ delay: z.tuple([z.string(), z.string(), z.literal(["rise", "fall"])]), ns: z.number() }),
  z.strictObject({ window: z.tuple([z.literal(["set-up", "hold"]), z.string(), z.string()]), ns: z.number() }),
  z.strictObject({ given: z.string(), ns: z.number() }),
]);

const examples = z
  .array(
    z.strictObject({
      source: z.string(),
      fromMemory: z.boolean(),
      part: z.string(),
      maker: z.string(),
      sum: z.array(step),
      ns: z.number(),
      megahertz: z.number(),
    }),
  )
  .parse(JSON.parse(readFileSync(new URL("../data/worked-parts.json", import.meta.url), "utf8")));

/** The sheets print these clock rates in whole megahertz. */
describe.each(examples)("$source", ({ part: number, maker, sum, ns: total, megahertz }) => {
  const { figures } = onTheBenchPart(number, maker);
  const got = sum.map((term) => {
    if ("given" in term) return term.ns;
    const figure =
      "delay" in term
        ? figures.delay(term.delay[0], "rise", term.delay[1], term.delay[2] satisfies Change)
        : figures.window(...term.window);
    if (isMissing(figure)) throw new Error(figure.missing);
    return inNs("max" in figure ? figure.max : figure.time);
  });

  test("has the printed figures in the catalogue", () => {
    expect(got).toEqual(sum.map((term) => term.ns));
  });

  test("gives the printed clock rate", () => {
    const period = got.reduce((a, b) => a + b, 0);
    expect(period).toBe(total);
    expect(Math.round(1000 / period)).toBe(megahertz);
  });
});
