import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { ns, range } from "../../src/quantity/index.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

/** A clock of 250 ns, high for 40 to 60 % of it, that a NAND lets through while a counter's bit is high. */
function gated(counts: "CK" | "CK#") {
  return prove(
    buildCircuit({
      wires: [0, 1],
      chips: {
        X1: [oscillator(250, range(0.4, 0.6)), "OUT=CK"],
        U1: ["74HC04", "1A=CK 1Y=CK# 2A..6A=low"],
        U2: ["74HC163", `CLK=${counts} CLR#=high LOAD#=high ENP=high ENT=high A..D=low QB=GO`],
        U3: ["74HC00", "1A=CK 1B=GO 1Y=GATED 2A..4A=low 2B..4B=low"],
        U4: ["74HC74", "1D=Q# 1CLK=GATED 1PRE#=high 1CLR#=high 1Q#=Q# 2D=low 2CLK=low 2PRE#=high 2CLR#=high"],
      },
    }),
  ).verdicts.filter(({ chip, rule }) => chip === "U4" && rule !== "power-up");
}

/** Common practice: what gates a clock changes while the clock holds the gate shut. */
describe("a clock gated by a NAND", () => {
  // The bit changes 7.25 ns after the clock's fall at least, however long the clock was high.
  test("has no glitch where the gating bit changes after the edge that shuts the gate", () => {
    const found = gated("CK#");
    expect(found.filter(({ state }) => state !== "holds")).toEqual([]);
    expect(found.map(({ rule }) => rule)).toContain("pulse width");
  });

  test("has pulses cut short where the gating bit changes after the edge that opens it", () => {
    const found = gated("CK").filter(({ state }) => state !== "holds");
    expect(found.map(({ rule }) => rule)).toContain("pulse width");
  });
});

/**
 * A clock that is high for 10 ns, through a gate that rises after 2 to 20 ns and falls after 2 to 5: the fall comes 10 + 2 ns
 * after the clock's rise at the earliest, 8 ns before the rise that it ends has come on a board that is slow to rise. There
 * the two cancel, and the pulse is 0 ns wide where it is least; 5 ns are asked for. Low it is for 10 + 2 - 5 ns or more.
 */
test("the shortest pulse of a gate that may swallow it is 0 ns wide, not less", () => {
  const gate = {
    delay: (_from: string, _edge: string, _to: string, change: string) => [2, change === "rise" ? 20 : 5] as const,
  };
  const flipFlop = { delay: 10, setUp: 0, hold: 0, width: 5, recovery: 1, period: 5 };
  const proof = prove(
    buildCircuit({
      chips: {
        X1: [oscillator(20), "OUT=CK"],
        U1: [known("08", gate), "1A=CK 1B=high 1Y=SLOW"],
        U2: [known("74", flipFlop), "1D=Q# 1CLK=SLOW 1PRE#=high 1CLR#=high 1Q#=Q#"],
      },
    }),
  );
  expect(verdictOf(proof, "pulse width U2 1CLK high")).toMatchObject({ state: "fails", available: 0, margin: -ns(5) });
  expect(verdictOf(proof, "pulse width U2 1CLK low")).toMatchObject({ state: "holds", available: ns(7) });
});
