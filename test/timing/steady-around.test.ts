import { describe, expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

const figures: GivenFigures = { delay: [2, 10], setUp: 4, hold: 3, width: 5, recovery: 1, period: 20 };

/** Data from outside that stand from 30 ns before an edge of a net to 12 ns after it. */
const steady = (net: string) => ({ steadyAround: [net, "rise"] as const, before: 30, after: 12 });

/** SLOW rises with every other rise of the clock, 2 to 10 ns after it. */
function proved(data: string, clock: string, inputs: string) {
  return prove(
    buildCircuit({
      wires: [0, 1],
      chips: {
        X1: [oscillator(200), "OUT=CK"],
        U1: [known("74", figures), "1D=SLOW# 1CLK=CK 1PRE#=high 1CLR#=high 1Q=SLOW 1Q#=SLOW#"],
        U2: [known("04", { delay: [5, 6] }), "1A=DATA 1Y=DATA#"],
        U3: [known("74", figures), `1D=${data} 1CLK=${clock} 1PRE#=high 1CLR#=high`],
      },
      inputs: { DATA: steady(inputs) },
    }),
  );
}

/** Figures by hand; each wire takes 0 to 1 ns. */
describe("data from outside that are steady around an edge of a net of the board", () => {
  test("keep set-up and hold times of what that edge clocks by as much as they are steady for", () => {
    for (const net of ["CK", "SLOW"]) {
      const proof = proved("DATA", net, net);
      expect(verdictOf(proof, "set-up U3 1D")).toMatchObject({ available: ns(30 - 1), margin: ns(29 - 4) });
      expect(verdictOf(proof, "hold U3 1D")).toMatchObject({ available: ns(12 - 1), margin: ns(11 - 3) });
    }
  });

  test("come later by the delay of a gate that they pass, and of its wires", () => {
    const proof = proved("DATA#", "CK", "CK");
    expect(verdictOf(proof, "set-up U3 1D").available).toBe(ns(30 - 6 - 2));
    expect(verdictOf(proof, "hold U3 1D").available).toBe(ns(12 + 5 - 1));
  });

  // SLOW rises with every other rise of the clock: around those between the data may change.
  test("need not stand around other edges that capture them", () => {
    expect(verdictOf(proved("DATA", "CK", "SLOW"), "hold U3 1D").state).toBe("fails");
  });
});
