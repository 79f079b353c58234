import { expect, test } from "vitest";
import { modelLimits } from "../../src/timing/limits.js";
import { twoRegisters } from "./verdict-fixture.js";

/** Beside every "holds": what it rests on, and what no sheet figure can show. */
test("a verdict says what least delays and wires it counts with, and what lies outside of it", () => {
  const circuit = twoRegisters();
  const sentences = (fractionOfTypical: number) =>
    modelLimits({
      ...circuit,
      build: "breadboard",
      unstatedMinimum: { ...circuit.unstatedMinimum, fractionOfTypical },
    });
  expect(sentences(0.25)).toEqual([
    "Where a sheet states no least delay, 25 % of the typical one counts: the circuit file's choice, no maker's promise.",
    "A wire takes 0 ns to 1 ns from a driver to a receiver, on breadboard.",
    "Ringing, crosstalk and ground bounce are not part of it: short wires, a good ground and a capacitor at every chip are.",
    "Jitter of the oscillator beyond its tolerance is not part of it.",
    "Delays are those at the sheet's own threshold; where families with different thresholds meet, edges shift a little.",
    "A disable time on a sheet ends where the output lets go, not where the net reaches a level.",
  ]);
  expect(sentences(0)[0]).toBe("Where a sheet states no least delay, zero counts.");
});
