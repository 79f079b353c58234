import { describe, expect, test } from "vitest";
import { findDeciding } from "../../src/timing/deciding.js";
import { prove } from "../../src/timing/index.js";
import { buildModel } from "../../src/timing/model.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";

const figures: GivenFigures = { delay: [2, 10], setUp: 1, hold: 0, width: 5, recovery: 1, period: 20 };

/**
 * Four slots of 100 ns, and a flip-flop that takes once in them whether the processor writes. In two of the slots a buffer of
 * the processor drives the bus where it does, else one of the memory; `writes` and `reads` say which level of the flip-flop
 * opens which.
 */
function twoOwners({ writes, reads }: { readonly writes: string; readonly reads: string }) {
  return buildCircuit({
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      U1: [
        known("74", figures),
        "1CLK=CK 1D=B# 1CLR#=high 1PRE#=high 1Q=A 1Q#=A# 2CLK=CK 2D=A 2CLR#=high 2PRE#=high 2Q=B 2Q#=B#",
      ],
      U2: [known("74", figures), "1CLK=A 1D=RW 1CLR#=high 1PRE#=high 1Q=TAKEN 1Q#=TAKEN#"],
      U3: [known("00", figures), `1A=B 1B=${writes} 1Y=WRITE_NEXT# 2A=B 2B=${reads} 2Y=READ_NEXT#`],
      U4: [
        known("74", figures),
        "1CLK=CK 1D=WRITE_NEXT# 1CLR#=high 1PRE#=high 1Q=WRITE# 2CLK=CK 2D=READ_NEXT# 2CLR#=high 2PRE#=high 2Q=READ#",
      ],
      U5: [known("244", figures), "1OE#=WRITE# 1A1=low 1Y1=BUS 2OE#=READ# 2A1=high 2Y1=BUS"],
      U6: [known("04", figures), "1A=BUS"],
    },
    inputs: { RW: { after: ["A", "fall"], from: 0, to: 40 } },
  });
}

test("a register that takes a level out of a memory decides which of two owners has a bus", () => {
  const figure: GivenFigures = { ...figures, memory: { tRC: 50, tWC: 50 } };
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      U1: [known("32Kx8", figure), "A0=CK A1..A14=low CE#=low OE#=low WE#=high IO0=BIT"],
      U2: [known("74", figures), "1CLK=CK 1D=BIT 1CLR#=high 1PRE#=high 1Q=TAKEN 1Q#=TAKEN#"],
      U3: [known("244", figures), "1OE#=TAKEN 1A1=low 1Y1=BUS 2OE#=TAKEN# 2A1=high 2Y1=BUS"],
      U4: [known("04", figures), "1A=BUS"],
    },
  });
  expect([...findDeciding(buildModel(circuit))]).toHaveLength(1);
  const lone = { ...circuit, chips: circuit.chips.filter(({ ref }) => ref !== "U3") };
  expect([...findDeciding(buildModel(lone))]).toEqual([]);
});

/** Common practice: a bus of which a level and its inverse open the owners has one owner at most. */
describe("two owners of a bus of whom a level from outside opens the one", () => {
  test("never drive it together where the one is opened by the level and the other by its inverse", () => {
    const found = contention(twoOwners({ writes: "TAKEN", reads: "TAKEN#" }));
    expect(found.length).toBeGreaterThan(0);
    expect(found.filter(({ state }) => state !== "holds")).toEqual([]);
  });

  test("drive it together where the same level opens both", () => {
    const found = contention(twoOwners({ writes: "TAKEN", reads: "TAKEN" }));
    expect(found.some(({ state }) => state === "fails")).toBe(true);
  });

  function contention(circuit: Parameters<typeof prove>[0]) {
    return prove(circuit).verdicts.filter(({ rule }) => rule === "contention");
  }
});
