import { describe, expect, test } from "vitest";
import { replay, settle } from "../../src/evidence/index.js";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, oscillator } from "../support/build-circuit.js";
import { outsideLimits } from "../support/within-limits.js";

/** A clock made by a decoder of a counter's bits, which change one after another in whatever order (common practice). */
const circuit = buildCircuit({
  wires: [0, 1],
  chips: {
    X1: [oscillator(125), "OUT=CK"],
    U1: ["74HC163", "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QC=N0..N2"],
    U2: ["74HC138", "A=N0 B=N1 C=N2 G1=high G2A#=low G2B#=low Y4#=FOUR#"],
    U3: ["74HC74", "1D=EVEN# 1CLK=FOUR# 1PRE#=high 1CLR#=high 1Q#=EVEN# 2D=low 2CLK=low 2PRE#=high 2CLR#=high"],
  },
});

describe("a decoder of a counter's bits that makes a clock", () => {
  const { proof, witnesses } = settle(circuit, prove(circuit));
  const name = "glitch U3 1CLK";
  const verdict = proof.verdicts.find((one) => one.name === name);
  const witness = witnesses.get(name);

  test("glitches on a board on which one bit comes late and the others do not", () => {
    expect(verdict).toMatchObject({ state: "fails" });
    expect(witness?.scene.corner.arcs.size).toBeGreaterThan(0);
  });

  test("needs no delay outside its limits for that", () => {
    if (!witness) throw new Error("no board");
    expect(outsideLimits(circuit, witness.scene)).toEqual([]);
  });

  test("glitches again on that board", () => {
    const strobe = circuit.nets.find((net) => net.name === "FOUR#");
    if (!verdict || !witness || !strobe) throw new Error("no board");
    const edges: number[] = [];
    replay(circuit, verdict, witness, (simulator) => simulator.observe(strobe.id, (time) => edges.push(time)));
    // The decoded pulse itself lasts a whole period.
    const pulses = edges.slice(1).map((time, index) => time - (edges[index] ?? 0));
    expect(Math.min(...pulses)).toBeLessThan(ns(125 / 4));
  });
});
