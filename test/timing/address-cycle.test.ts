import { describe, expect, test } from "vitest";
import { inNs } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";

/** 5 to 20 ns from the clock, so two changes of an output are at least 15 ns nearer to each other than their clocks. */
const register: GivenFigures = { delay: [5, 20], setUp: 5, hold: 0, width: 10, recovery: 10, period: 30 };
const memory: GivenFigures = {
  delay: [5, 60],
  memory: { tRC: 70, tWC: 90, tAS: 0, tAW: 50, tCW: 50, tWP: 40, tWR: 0, tDW: 30, tDH: 0 },
};

/** What the proof says of A0's cycles where these nets are at the memory's enables: symbol, state and margin in ns. */
function cyclesOf(enables: string) {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: [
        known("175", register),
        "CLK=CK CLR#=high 1D=LATER# 2D=EARLY 1Q=EARLY 2Q=LATER 1Q#=EARLY# 2Q#=LATER# 3D=EARLY 3Q=EARLY2 4D=EARLY 4Q#=WE#",
      ],
      U3: [known("175", register), "CLK=EARLY# CLR#=high 1D=A0# 1Q=A0 1Q#=A0# 2D..4D=low"],
      U4: [known("32Kx8", memory), `A0=A0 A1..A14=low IO0=D0 ${enables}`],
    },
  });
  return prove(circuit).verdicts.flatMap(({ rule, symbol, pin, state, margin }) =>
    rule === "memory cycle" ? [{ symbol, pin, state, margin: margin === undefined ? margin : inNs(margin) }] : [],
  );
}

/** A0 changes at every fourth clock of 200 ns, so it stands for 785 ns. */
describe("an address stands for a whole cycle of the memory", () => {
  test("for a read cycle where the memory shows what it reads", () => {
    expect(cyclesOf("CE#=low OE#=low WE#=high")).toEqual([{ symbol: "tRC", pin: "A0", state: "holds", margin: 715 }]);
  });

  test("for none where the memory neither shows anything nor is written", () => {
    expect(cyclesOf("CE#=low OE#=high WE#=high")).toEqual([]);
    expect(cyclesOf("CE#=high OE#=low WE#=high")).toEqual([]);
  });

  test("for a write cycle where a write has ended since it changed last", () => {
    const [cycle, ...others] = cyclesOf("CE#=low OE#=high WE#=WE#");
    expect(cycle).toEqual({ symbol: "tWC", pin: "A0", state: "holds", margin: 695 });
    expect(others).toEqual([]);
  });
});
