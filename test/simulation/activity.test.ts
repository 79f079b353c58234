import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { countActivity } from "../../src/simulation/index.js";
import { type CircuitText, buildCircuit, chipOf, netOf, oscillator } from "../support/build-circuit.js";

/** Edges a second of a net. */
function rateOf(text: CircuitText, net: string): number {
  const circuit = buildCircuit(text);
  return countActivity(circuit).edgesPerSecond.get(netOf(circuit, net).id) ?? 0;
}

const counter: CircuitText = {
  chips: {
    X1: [oscillator(100), "OUT=CLK"],
    U1: ["74HC163", "CLK=CLK CLR#=RESET# LOAD#=high ENP=high ENT=high A..D=low QA..QD=C0..C3"],
  },
  inputs: { "RESET#": { powerUpOnly: "low", least: 1000 } },
};

describe("activity", () => {
  test("of a clock is two edges a period, and halves from stage to stage of a binary counter", () => {
    const rates = ["CLK", "C0", "C1", "C2", "C3"].map((net) => rateOf(counter, net) / 1e6);
    [20, 10, 5, 2.5, 1.25].forEach((expected, index) => expect(rates[index]).toBeCloseTo(expected, 1));
  });

  test("counts the outputs that change together: all four of a counter at its wrap", () => {
    const circuit = buildCircuit(counter);
    expect(countActivity(circuit).together.get(chipOf(circuit, "U1"))).toBe(4);
  });

  test("counts at most as many outputs as a chip has, and those that drive a shared net alone", () => {
    const file = new URL("../../examples/tide-board.circuit.yaml", import.meta.url);
    const { circuit } = readCircuit(readFileSync(file, "utf8"), "tide-board");
    if (!circuit) throw new Error("no circuit");
    const { together, fights } = countActivity(circuit);
    for (const [chip, count] of together) {
      const { pins } = chip.part.behaviour;
      const outputs = pins.filter(({ role }) => role === "output" || role === "in-out");
      expect([chip.ref, count <= outputs.length]).toEqual([chip.ref, true]);
    }
    expect(together.get(chipOf(circuit, "U22"))).toBe(8);
    expect(fights).toEqual([]);
  });

  test("tells of outputs that drive one net against each other, and for how long", () => {
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(100), "OUT=CLK"],
        U1: ["74HC125", "1OE#=low 1A=CLK 1Y=BUS"],
        U2: ["74HC125", "1OE#=low 1A=low 1Y=BUS"],
      },
    });
    const { fights, time } = countActivity(circuit);
    expect(fights).toHaveLength(1);
    expect(fights[0]?.pins).toEqual(expect.arrayContaining(["U1 1Y", "U2 1Y"]));
    // Both always drive, so it is one that never ends.
    expect(fights[0]?.longest).toBe(time);
  });
});
