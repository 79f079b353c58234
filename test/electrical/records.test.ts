import { describe, expect, test } from "vitest";
import { edgeRateOf } from "../../src/electrical/edge-rates.js";
import { dissipationRating } from "../../src/electrical/ratings.js";
import { dissipationCapacitance, ownSupplyCurrent } from "../../src/electrical/supply-currents.js";
import { families, functionsOf, memoryRows } from "../../src/parts/index.js";
import { part, usualConditions } from "../parts/conditions.js";

const bipolar = ["LS", "ALS", "F"];

describe.each(families)("of 74%s", (family) => {
  test("every part has a limit of its heat and an edge rate on record", () => {
    for (const one of partsOf(family)) {
      expect([one.number, dissipationRating(one, 25) !== undefined, edgeRateOf(one) !== undefined]).toEqual([
        one.number,
        true,
        true,
      ]);
    }
  });
});

const partsOf = (family: string) => functionsOf(family).map((fn) => part(`74${family}${fn}`, usualConditions(family)));

test.each(families.filter((family) => !bipolar.includes(family)))(
  "every 74%s has a current at rest and a Cpd, its own or one that stands in",
  (family) => {
    for (const one of partsOf(family)) {
      const farads = dissipationCapacitance(one)?.value ?? 0;
      // Nothing on record is larger than the 400 pF of a whole 74HC595 (Texas Instruments SCLS041I), nor below 2 pF.
      expect([one.number, farads > 2e-12 && farads <= 400e-12, ownSupplyCurrent(one, 70) !== undefined]).toEqual([
        one.number,
        true,
        true,
      ]);
    }
  },
);

test.each(bipolar)("most of 74%s have a supply current on record", (family) => {
  const parts = partsOf(family);
  const known = parts.filter((one) => ownSupplyCurrent(one, 70) !== undefined);
  expect(known.length).toBeGreaterThan(parts.length / 2);
});

test("currents of memories are on record for parts that the catalogue has", () => {
  const known = memoryRows.filter(({ part: number }) => {
    const found = part(number, { ...usualConditions("HC") });
    return ownSupplyCurrent(found, 70) !== undefined;
  });
  expect(known.length).toBeGreaterThan(60);
});
