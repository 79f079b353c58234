import { describe, expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type CircuitText, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { runBoard } from "../support/waves-run.js";
import { verdictOf } from "./verdict-fixture.js";

const CLEAR_NS = 5;
const GATE_NS = 2;
const WIRE_NS = 0.5;

/** A 161 whose count of ten clears it: its clear lasts until the first bit has fallen, is through the gate and is back. */
const divider = (width: number, chips: CircuitText["chips"] = {}) =>
  buildCircuit({
    wires: [WIRE_NS, 1],
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: [
        known("161", { delay: [CLEAR_NS, 20], setUp: 4, hold: 0, width, recovery: 5, period: 40 }),
        "CLK=CK CLR#=TEN# LOAD#=high ENP=high ENT=high A..D=low QB=N1 QD=N3",
      ],
      U2: [known("00", { delay: [GATE_NS, 8] }), "1A=N1 1B=N3 1Y=TEN# 2A..4A=low 2B..4B=low"],
      ...chips,
    },
  });

/** Common practice against it: a clear that the cleared bits themselves end is as short as the quickest bit and the gate are. */
describe("a counter that clears itself through a gate", () => {
  const shortest = CLEAR_NS + GATE_NS + 2 * WIRE_NS;

  test("fails where the quickest bit ends the clear before its least width", () => {
    const { verdicts } = prove(divider(20));
    expect(verdicts).toMatchObject([{ name: "pulse width U1 CLR# low", state: "fails", available: ns(shortest) }]);
    expect(verdicts[0]?.note).toMatch(/TEN# ends itself.*Nothing else was proved/);
  });

  test("clears itself for as short a time on a board whose delays are all the least", () => {
    const { violations } = runBoard(divider(20), 1, "earliest", 20);
    const widths = violations.filter(({ pin }) => pin === "CLR#").map(({ actual }) => actual);
    expect(widths).toContain(ns(shortest));
  });

  test("keeps the rest from being proved where its clear is sure to be long enough", () => {
    const proof = prove(divider(shortest));
    expect(verdictOf(proof, "pulse width U1 CLR# low")).toMatchObject({ state: "holds", margin: 0 });
    expect(verdictOf(proof, "feedback TEN#")).toMatchObject({ state: "not settled" });
  });

  test("is not covered where no sheet gives the least width of the clear", () => {
    const chips: CircuitText["chips"] = {
      U1: [known("161", { delay: 5 }), "CLK=CK CLR#=TEN# LOAD#=high ENP=high ENT=high A..D=low QB=N1 QD=N3"],
    };
    expect(verdictOf(prove(divider(20, chips)), "pulse width U1 CLR# low").state).toBe("not covered");
  });

  test("is cleared by the quickest of several ways back, be it of more gates", () => {
    const chips: CircuitText["chips"] = {
      U2: [known("00", { delay: [9, 10] }), "1A=N1 1B=N3 1Y=SLOW# 2A..4A=low 2B..4B=low"],
      U3: [known("04", { delay: [1, 8] }), "1A=N1 1Y=N1# 2A..6A=low"],
      U4: [known("32", { delay: [1, 8] }), "1A=SLOW# 1B=N1# 1Y=TEN# 2A..4A=low 2B..4B=low"],
    };
    const quickest = CLEAR_NS + 1 + 1 + 3 * WIRE_NS;
    expect(verdictOf(prove(divider(20, chips)), "pulse width U1 CLR# low").available).toBe(ns(quickest));
  });
});
