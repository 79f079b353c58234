import { expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";

const figures: GivenFigures = { delay: [2, 10], setUp: 1, hold: 0, width: 5, recovery: 1, period: 20 };

/**
 * Four slots of 200 ns: the first buffer drives in slots 0 and 2, the second in slot 3 and nobody in slot 1. Common practice:
 * a net is undriven from where whoever drove it last lets go.
 */
test("a net that one output leaves and takes again is undriven between the two alone, whoever drove it before", () => {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: [
        known("74", figures),
        "1CLK=CK 1D=ODD# 1CLR#=high 1PRE#=high 1Q=ODD 1Q#=ODD# 2CLK=ODD# 2D=LATE# 2CLR#=high 2PRE#=high 2Q=LATE 2Q#=LATE#",
      ],
      U2: [known("00", figures), "1A=ODD# 1B=LATE 1Y=LAST_NEXT#"],
      U5: [known("74", figures), "1CLK=CK 1D=LAST_NEXT# 1CLR#=high 1PRE#=high 1Q=LAST#"],
      U3: [known("244", figures), "1OE#=ODD 1A1=low 1Y1=BUS 2OE#=LAST# 2A1=high 2Y1=BUS"],
      U4: [known("04", figures), "1A=BUS"],
    },
  });
  const found = prove(circuit).verdicts.find(({ rule, pin }) => rule === "undriven" && pin === "1Y1");
  // The slot, and what two flip-flop delays and two of the buffer differ by: 200 + 2 * (10 - 2) ns.
  expect(found).toMatchObject({ state: "holds", required: ns(216) });
});
