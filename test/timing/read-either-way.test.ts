import { expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";

/**
 * A shift register's clock rises as its data input H falls, in either order, and just as its SH/LD# turns to shifting. Loaded
 * too late, H would be found high or low, and what is shifted in is low: so SH/LD# is read, though with H low already it
 * would make no difference.
 */
test("a pin is read where it makes a difference for either level of a pin that changes about the clock edge", () => {
  const figures = { delay: [2, 10], setUp: 1, hold: 0, width: 5, recovery: 1, period: 20 } as const;
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: [known("74", figures), "1CLK=CK 1D=Q# 1CLR#=high 1PRE#=high 1Q=Q 1Q#=Q#"],
      U2: [known("04", { delay: [2, 20] }), "1A=Q 1Y=SHIFT"],
      U3: [known("32", { delay: [1, 15] }), "1A=Q 1B=low 1Y=DATA"],
      U4: [known("166", figures), "CLK=SHIFT CLKINH=low CLR#=high SH/LD#=Q# SER=low A..G=low H=DATA QH=OUT"],
    },
  });
  const found = prove(circuit).verdicts.find(
    ({ rule, chip, pin }) => rule === "set-up" && chip === "U4" && pin === "SH/LD#",
  );
  // The clock comes 2 + 2 ns after the oscillator at least, SH/LD# 10 ns at most.
  expect(found).toMatchObject({ state: "fails", available: -ns(6) });
});
