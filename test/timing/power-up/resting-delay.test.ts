import { expect, test } from "vitest";
import { restingDelay } from "../../../src/timing/power-up/resting-delay.js";
import { ns } from "../../../src/quantity/index.js";
import { type Limits, known } from "../../support/build-circuit.js";

/** A gate of four inputs of which the first two reach its output within these limits. */
const gate = (first: Limits, second: Limits) => known("00", { delay: (from) => (from === "1A" ? first : second) });

test("the delay that stands for all to an output is their mean as far as all their limits allow", () => {
  expect(restingDelay(gate([1, 4, 9], [2, 8, 20]), "1Y")).toBe(ns(6));
  expect(restingDelay(gate([2, 3, 8], [5, 20, 30]), "1Y")).toBe(ns(8));
  expect(restingDelay(gate([1, 2, 9], [6, 7, 30]), "1Y")).toBe(ns(6));
});
