import { expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, oscillator } from "../support/build-circuit.js";

/** 27C256-120: tAA 120 ns; the register takes what the ROM gives to an address that a counter left a period before. */
function lookUp(period: number) {
  return prove(
    buildCircuit({
      chips: {
        X1: [oscillator(period), "OUT=CK"],
        U1: ["74HC161", "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QD=A0..A3"],
        U2: ["27C256-120", "A0..A3=A0..A3 A4..A14=low CE#=low OE#=low VPP=high O0..O7=D0..D7"],
        U3: ["74HCT574", "CLK=CK OE#=low 1D..8D=D0..D7"],
      },
    }),
  ).verdicts.filter(({ rule }) => rule === "memory read");
}

test("a read-only memory has its access time from the counter to the register", () => {
  const [slow] = lookUp(400);
  expect(slow).toMatchObject({ state: "holds", chip: "U3" });
  const [quick] = lookUp(150);
  expect(quick).toMatchObject({ state: "fails" });
  expect((slow?.margin ?? 0) - (quick?.margin ?? 0)).toBe(250e6);
});
