import { expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

const flipFlop: GivenFigures = { delay: 3, setUp: 4, hold: 1, width: 5, recovery: 1, period: 20 };

/** A slow rise through the input that was selected, a quicker fall as another is selected, and its rise quicker still. */
const selector: GivenFigures = {
  delay: (from, edge, _to, change) => {
    if (from === "1A") return 6;
    if (edge === "fall") return 10;
    return from === "1B" ? 1 : change === "fall" ? 2 : 10;
  },
};

/**
 * The clock's rise is on its way through the selector, for 6 ns, when after 3 ns SEL rises, which both selects and is what is
 * selected. By way of the selection the output falls after 3 + 2 ns, before it has risen: the two cancel. What is left is
 * the rise by way of 1B, after 3 + 1 ns. Figures by hand.
 */
test("a change that cancels with the one before it lets the next one come first", () => {
  const unused = "2D=low 2CLK=low 2PRE#=high 2CLR#=high";
  const proof = prove(
    buildCircuit({
      chips: {
        X1: [oscillator(100), "OUT=CK"],
        U1: [known("74", flipFlop), `1D=SEL# 1CLK=CK 1PRE#=high 1CLR#=high 1Q=SEL 1Q#=SEL# ${unused}`],
        U2: [known("157", selector), "A#/B=SEL G#=low 1A=CK 1B=SEL 1Y=SHOWN"],
        U3: [known("74", flipFlop), `1D=SHOWN 1CLK=CK 1PRE#=high 1CLR#=high ${unused}`],
      },
    }),
  );
  expect(verdictOf(proof, "hold U3 1D").available).toBe(ns(3 + 1));
});
