import { expect, test } from "vitest";
import table from "#data/build-styles.json" with { type: "json" };
import { z } from "zod";
import { wireDelayOf } from "../../src/circuit/index.js";

const { delayPerLength, styles } = z
  .object({
    delayPerLength: z.object({ nsPerMetre: z.number() }),
    styles: z.array(z.object({ style: z.string(), longestMetres: z.number(), minNs: z.number(), maxNs: z.number() })),
  })
  .parse(table);

// Texas Instruments SDYA011 (October 1996), Printed circuit board layout for improved electromagnetic compatibility.
test("a trace of 5 nH and 0.8 pF a centimetre delays by 6.3 ns a metre", () => {
  const secondsPerCentimetre = Math.sqrt(5e-9 * 0.8e-12);
  expect(delayPerLength.nsPerMetre).toBeCloseTo(secondsPerCentimetre * 1e9 * 100, 1);
});

test.each(styles)("the wire limit of a $style is its longest wire, rounded up to a tenth of a nanosecond", (row) => {
  expect(row.minNs).toBe(0);
  expect(row.maxNs).toBeCloseTo(Math.ceil(row.longestMetres * delayPerLength.nsPerMetre * 10) / 10, 9);
});

test("wires are slower the more loosely a board is built", () => {
  const limits = (["printed board", "perfboard", "breadboard"] as const).map((style) => wireDelayOf(style).max);
  expect(limits).toEqual([1_000_000, 1_300_000, 1_900_000]);
});
