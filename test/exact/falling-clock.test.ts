import { expect, test } from "vitest";
import { settleExactly } from "../../src/exact/index.js";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "../timing/verdict-fixture.js";

const clocked: GivenFigures = { delay: 3, setUp: 2, hold: 1, width: 4, recovery: 1, period: 20 };
/** Quick from one input, slow from the other: where both fall at once, the output falls with the slow one. */
const or: GivenFigures = { delay: (from) => (from === "1A" ? [2, 5] : [8, 10]) };

/**
 * A counter that counts at falls, on an OR of which both inputs follow a flip-flop that changes with every clock. By the bounds
 * its clock may fall after 2 ns one time and after 10 the next. On every board it falls with the slow input, always as long
 * after the flip-flop, so that from fall to fall there are two periods of 100 ns. Figures by hand.
 */
test("the period of a clock that counts at its falls is decided from fall to fall", () => {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      U1: [
        known("74", clocked),
        "1D=T# 1CLK=CK 1PRE#=high 1CLR#=high 1Q=T 1Q#=T# 2D=low 2CLK=low 2PRE#=high 2CLR#=high",
      ],
      U2: [known("32", or), "1A=T 1B=T 1Y=LATE"],
      U3: [known("393", clocked), "1CLK=LATE 1CLR=low"],
    },
  });
  const bounds = prove(circuit);
  expect(verdictOf(bounds, "clock period U3 1CLK").available).toBe(ns(200 - (10 - 2)));
  const { available, exact } = verdictOf(settleExactly(circuit, bounds).proof, "clock period U3 1CLK");
  expect(available).toBe(ns(200));
  expect(exact?.isAttained).toBe(true);
});
