import { expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, oscillator } from "../support/build-circuit.js";

/** HM6116 and 62256 sheets: tAS, address set-up time before the write begins, at least 0 ns; the address stands throughout. */
test("an address that changes in the middle of a write pulse was not steady before the write began", () => {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: ["74HC175", "CLK=CK CLR#=high 1D=LATER# 2D=EARLY 1Q=EARLY 2Q=LATER 2Q#=LATER# 3D..4D=low"],
      U2: ["74HC00", "1A=EARLY 1B=LATER 1Y=WE#"],
      U4: ["62256-70", "A0=A0 A1..A14=low IO0=EARLY CE#=low OE#=high WE#=WE#"],
    },
    inputs: { A0: { after: ["CK", "fall"], from: 20, to: 60 } },
  });
  const found = prove(circuit).verdicts.filter(({ symbol }) => symbol === "tAS");
  expect(found.map(({ name, state }) => ({ name, state }))).toEqual([{ name: "tAS U4 A0", state: "fails" }]);
});

test("one that changes only while WE# is high was, with a margin that is told", () => {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: ["74HC175", "CLK=CK CLR#=high 1D=LATER# 2D=EARLY 1Q=EARLY 2Q=LATER 1Q#=EARLY# 2Q#=LATER# 3D..4D=low"],
      U2: ["74HC00", "1A=EARLY 1B=LATER 1Y=WE#"],
      U3: ["74HC175", "CLK=EARLY# CLR#=high 1D=A0# 1Q=A0 1Q#=A0# 2D..4D=low"],
      U4: ["62256-70", "A0=A0 A1..A14=low IO0=LATER CE#=low OE#=high WE#=WE#"],
    },
  });
  const found = prove(circuit).verdicts.filter(({ symbol }) => symbol === "tAS");
  expect(found.map(({ name, state }) => ({ name, state }))).toEqual([{ name: "tAS U4 A0", state: "holds" }]);
  expect(found[0]?.margin).toBeGreaterThan(400e6);
});
