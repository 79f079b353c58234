import { describe, expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, type Limits, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

const figures = (delay: Limits): GivenFigures => ({ delay, setUp: 4, hold: 1, width: 5, recovery: 1, period: 20 });

interface Delays {
  readonly fast: Limits;
  readonly slow: Limits;
  readonly other: Limits;
}

/** FAST and SLOW turn over together with each rise of the clock, OTHER the other way round; a NAND of the three is captured. */
function proved({ fast, slow, other }: Delays) {
  const unused = "2D=low 2CLK=low 2PRE#=high 2CLR#=high";
  return prove(
    buildCircuit({
      wires: [0, 1],
      chips: {
        X1: [oscillator(100), "OUT=CK"],
        U1: [known("74", figures(fast)), `1D=FAST# 1CLK=CK 1PRE#=high 1CLR#=high 1Q=FAST 1Q#=FAST# ${unused}`],
        U2: [known("74", figures(slow)), `1D=FAST# 1CLK=CK 1PRE#=high 1CLR#=high 1Q=SLOW ${unused}`],
        U3: [known("74", figures(other)), `1D=FAST# 1CLK=CK 1PRE#=high 1CLR#=high 1Q#=OTHER ${unused}`],
        U4: [known("10", { delay: [3, 5] }), "1A=FAST 1B=SLOW 1C=OTHER 1Y=ALL# 2A..2C=low 3A..3C=low"],
        U5: [known("74", figures(10)), `1D=ALL# 1CLK=CK 1PRE#=high 1CLR#=high ${unused}`],
      },
    }),
  );
}

/** Figures by hand; each wire takes 0 to 1 ns. */
describe("the pulse of a NAND of which some inputs rise as others fall", () => {
  test("begins with the last of those that rise", () => {
    const proof = proved({ fast: [2, 10], slow: [8, 30], other: [40, 50] });
    expect(verdictOf(proof, "hold U5 1D").available).toBe(ns(8 + 3 - 1));
  });

  test("ends with the first of those that fall", () => {
    const proof = proved({ fast: [6, 10], slow: [6, 30], other: [1, 2] });
    expect(verdictOf(proof, "set-up U5 1D").available).toBe(ns(100 - (10 + 5 + 3)));
  });

  test("begins before an input that need not have come", () => {
    // OTHER may fall before SLOW rises, but need not.
    const proof = proved({ fast: [2, 10], slow: [8, 30], other: [20, 50] });
    expect(verdictOf(proof, "hold U5 1D").available).toBe(ns(8 + 3 - 1));
    expect(verdictOf(proof, "set-up U5 1D").available).toBe(ns(100 - (50 + 5 + 3)));
  });
});
