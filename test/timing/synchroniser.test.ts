import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { type CircuitText, buildCircuit, gate, known, oscillator } from "../support/build-circuit.js";

const quick = { delay: [2, 5, 20], setUp: 5, hold: 1, width: 10, period: 30 } as const;

/** What the proof says of IN, which may change at any time, where it is sampled. */
function sampled(chips: CircuitText["chips"]) {
  const circuit = buildCircuit({
    chips: { X1: [oscillator(100), "OUT=CK"], ...chips },
    inputs: { IN: { anyTime: { high: 1000, low: 1000, repeat: 2000 } } },
  });
  return prove(circuit)
    .verdicts.filter(({ rule }) => rule === "asynchronous signal")
    .map(({ name, state }) => `${name} ${state}`)
    .sort();
}

const two = known("74", quick);
const six = known("174", quick);
const always = "1PRE#=high 1CLR#=high 2PRE#=high 2CLR#=high";

describe("a signal that may change at any time", { timeout: 30_000 }, () => {
  test("may be sampled by a flip-flop that another on the same clock reads, and nothing else", () => {
    expect(sampled({ U1: [six, "CLK=CK CLR#=high 1D=IN 1Q=ONE 2D=ONE 2Q=TWO 3D..6D=low"] })).toEqual([
      "synchroniser U1 1D holds",
    ]);
    expect(sampled({ U1: [two, `1CLK=CK 2CLK=CK 1D=IN 1Q=ONE 2D=ONE 2Q=TWO ${always}`] })).toEqual([
      "synchroniser U1 1D holds",
    ]);
  });

  test("must not be sampled once only", () => {
    expect(sampled({ U1: [six, "CLK=CK CLR#=high 1D=IN 1Q=ONE 2D..6D=low"] })).toEqual(["synchroniser U1 1D fails"]);
  });

  test("must not be read by anything else before the second stage", () => {
    const early = { U1: [six, "CLK=CK CLR#=high 1D=IN 1Q=ONE 2D=ONE 2Q=TWO 3D=ONE 3Q=THREE 4D..6D=low"] } as const;
    expect(sampled(early)).toEqual(["synchroniser U1 1D fails"]);
  });

  test("needs a second stage on the same clock", () => {
    const inverted = {
      U1: [two, `1CLK=CK 2CLK=CK# 1D=IN 1Q=ONE 2D=ONE 2Q=TWO ${always}`],
      U2: [gate("A", "!A", 5), "A=CK Y=CK#"],
    } as const;
    expect(sampled(inverted)).toEqual(["synchroniser U1 1D fails"]);
  });

  test("needs it without a gate in between, which would take from the time to settle", () => {
    const gated = {
      U1: [two, `1CLK=CK 2CLK=CK 1D=IN 1Q=ONE 2D=LATER 2Q=TWO ${always}`],
      U2: [gate("A", "A", 5), "A=ONE Y=LATER"],
    } as const;
    expect(sampled(gated)).toEqual(["synchroniser U1 1D fails"]);
  });
});
