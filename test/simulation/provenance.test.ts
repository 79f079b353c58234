import { describe, expect, it } from "vitest";
import { parseExpression } from "../../src/parts/index.js";
import { ns } from "../../src/quantity/index.js";
import { record } from "../../src/simulation/index.js";
import { ANY_TIME, buildCircuit, chipOf, gate, invent, known, netOf } from "../support/build-circuit.js";
import { play, start } from "./running.js";

/** Four words of two bits that only read, and what hangs on them. */
const rom = invent(
  {
    function: "4x2",
    inputs: "A0 A1",
    outputs: "O0 O1",
    memory: { address: ["A0", "A1"], data: ["O0", "O1"], read: parseExpression("A0 | !A0") },
  },
  { delay: 20 },
);
const circuit = buildCircuit({
  chips: {
    U1: [rom, "A0=A0 A1=A1 O0=D0 O1=D1"],
    U2: [known("74", { delay: 10 }), "1D=D0 1CLK=CLK 1CLR#=high 1PRE#=high 1Q#=STORED#"],
    U3: [gate("A B", "A & B", 5), "A=D1 B=OPEN Y=GATED"],
    U4: [gate("A B", "A ^ B", 5), "A=D0 B=D1 Y=MIXED"],
  },
  inputs: { A0: ANY_TIME, A1: ANY_TIME, CLK: ANY_TIME, OPEN: ANY_TIME },
});

/** Mark of a bit: words of two bits, counted from 1. */
const mark = (address: number, bit: number) => 1 + 2 * address + bit;

describe("marks of memory bits", () => {
  const run = () => {
    const simulator = start(circuit, { marks: true, contents: new Map([[chipOf(circuit, "U1"), new Uint8Array(4)]]) });
    const tapes = Object.fromEntries(
      ["D0", "STORED#", "GATED", "MIXED"].map((net) => [net, record(simulator, netOf(circuit, net).id, true)]),
    );
    play(simulator, "A0", [[100, 1]]);
    play(simulator, "CLK", [[200, 1]]);
    play(simulator, "OPEN", [[300, 1]]);
    play(simulator, "A1", [[400, 1]]);
    simulator.run(ns(1000));
    return tapes;
  };

  it("come out of the memory with each cell, though the values are the same", () => {
    const { D0 } = run();
    expect([...(D0?.marks ?? [])]).toEqual([mark(1, 0), mark(3, 0)]);
    expect([...(D0?.timesFs ?? [])]).toEqual([120e6, 420e6]);
    expect([...(D0?.values ?? [])]).toEqual([0, 0]);
  });

  it("go through a register, to its inverted output too", () => {
    const tape = run()["STORED#"];
    expect([...(tape?.marks ?? [])]).toEqual([mark(1, 0)]);
    expect([...(tape?.timesFs ?? [])]).toEqual([210e6]);
  });

  it("go through a gate while it is open to them, and through none that two of them decide together", () => {
    const { GATED, MIXED } = run();
    expect([...(GATED?.marks ?? [])]).toEqual([mark(1, 1), mark(3, 1)]);
    expect([...(GATED?.timesFs ?? [])]).toEqual([305e6, 425e6]);
    expect(MIXED?.count).toBe(0);
  });
});
