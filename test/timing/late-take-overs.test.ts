import { expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

const flipFlop: GivenFigures = { delay: [2, 10], setUp: 1, hold: 0, width: 5, recovery: 1, period: 20 };
const gate: GivenFigures = { delay: [2, 4] };
/** As a rule the buffer has taken the net by the end of a slot, though it need not. */
const slowBuffer: GivenFigures = {
  delay: (_from, _edge, _to, change) => (change.endsWith("z") ? [2, 5, 8] : [2, 31, 60]),
};

/**
 * Of four slots of 50 ns the first is one buffer's, which passes on what may change at any time, the second another's, and two
 * are free. The other may take the net only as it is told to let go again. Figures by hand: the first lets go after
 * 10 + 4 + 8 ns at most, the second takes after 2 + 2 + 2 ns at least, and so the other way round two free slots later.
 */
test("a net that is taken late and left at once is judged turn by turn, and is driven when it is read", () => {
  const proof = prove(
    buildCircuit({
      inputs: { KEY: { anyTime: { high: 600, low: 600, repeat: 1200 } } },
      chips: {
        X1: [oscillator(50), "OUT=CK"],
        U1: [
          known("74", flipFlop),
          "1CLK=CK 1D=B# 1CLR#=high 1PRE#=high 1Q=A 1Q#=A# 2CLK=CK 2D=A 2CLR#=high 2PRE#=high 2Q=B 2Q#=B#",
        ],
        U2: [known("00", gate), "1A=A# 1B=B# 1Y=FIRST# 2A=A 2B=B# 2Y=SECOND#"],
        U3: [known("244", slowBuffer), "1OE#=FIRST# 1A1=KEY 1Y1=BUS 2OE#=SECOND# 2A1=high 2Y1=BUS"],
        U4: [known("74", flipFlop), "1CLK=B 1D=BUS 1CLR#=high 1PRE#=high"],
      },
    }),
  );
  expect(verdictOf(proof, "contention BUS U3 1Y1/U3 2Y1").available).toBe(ns(6 - 22));
  expect(verdictOf(proof, "contention BUS U3 2Y1/U3 1Y1").available).toBe(ns(100 + 6 - 22));
  expect(proof.verdicts.filter(({ rule, pin }) => rule === "undriven" && pin === "1D")).toEqual([]);
});
