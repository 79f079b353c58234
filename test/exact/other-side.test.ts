import { expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/index.js";
import { settle } from "../../src/evidence/index.js";
import { settleExactly } from "../../src/exact/index.js";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "../timing/verdict-fixture.js";

const flipFlop: GivenFigures = { delay: 3, setUp: 2, hold: 1, width: 4, recovery: 1, period: 20 };
/** Quick from one input, slow from the other: where both fall at once, the output rises with the slow one. */
const nor: GivenFigures = { delay: (from) => (from === "1A" ? [2, 5] : [8, 10]) };
const inverter: GivenFigures = { delay: [6, 7.5] };

/**
 * The clock of U4 rises 8 to 10 ns after its data begin their way of 6 to 7.5 ns. By the bounds alone it might rise after 2 ns,
 * so that the change, on the whole nearer to what comes after the clock, fails its hold. On every board it comes before the
 * clock: there it has 8 - 7.5 ns. Figures by hand.
 */
test("a change that comes on the other side of its capture than the bounds take it for is judged there", () => {
  const circuit = clockedByGate(flipFlop);
  const bounds = prove(circuit);
  expect(verdictOf(bounds, "hold U4 1D").state).toBe("fails");
  expect(verdictOf(bounds, "set-up U4 1D").state).toBe("holds");
  const { proof, witnesses } = settleExactly(circuit, bounds);
  expect(verdictOf(proof, "hold U4 1D").state).toBe("holds");
  const setUp = verdictOf(proof, "set-up U4 1D");
  expect(setUp.state).toBe("fails");
  expect(setUp.available).toBe(ns(8 - 7.5));
  // A simulated board has just that.
  expect(setUp.shown).toEqual({ isWorst: true, margin: ns(8 - 7.5 - 2) });
  const witness = witnesses.get(setUp.name);
  expect((witness?.to ?? 0) - (witness?.from ?? 0)).toBe(ns(8 - 7.5));
});

test("a board that shows a change too late by the bounds shows nothing where it comes in time", () => {
  const circuit = clockedByGate({ ...flipFlop, setUp: 0.2, hold: 0.1 });
  const bounds = settle(circuit, prove(circuit)).proof;
  expect(verdictOf(bounds, "hold U4 1D").shown).toBeDefined();
  const { proof } = settleExactly(circuit, bounds);
  const hold = verdictOf(proof, "hold U4 1D");
  expect(hold.state).toBe("holds");
  expect(hold.shown).toBeUndefined();
  expect(verdictOf(proof, "set-up U4 1D").margin).toBe(ns(8 - 7.5 - 0.2));
});

/** Both inputs of a NOR follow a flip-flop that changes with every clock; so do the data that its output captures. */
function clockedByGate(figures: GivenFigures): Circuit {
  const unused = "2D=low 2CLK=low 2PRE#=high 2CLR#=high";
  return buildCircuit({
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      U1: [known("74", figures), `1D=TOGGLE# 1CLK=CK 1PRE#=high 1CLR#=high 1Q=TOGGLE 1Q#=TOGGLE# ${unused}`],
      U2: [known("02", nor), "1A=TOGGLE 1B=TOGGLE 1Y=LATE"],
      U3: [known("04", inverter), "1A=TOGGLE 1Y=DATA"],
      U4: [known("74", figures), `1D=DATA 1CLK=LATE 1PRE#=high 1CLR#=high ${unused}`],
    },
  });
}
