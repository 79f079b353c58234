import { describe, expect, test } from "vitest";
import { type Proof, prove } from "../../src/timing/index.js";
import { type CircuitText, buildCircuit, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

/**
 * A memory that is written in one of four clocks of 200 ns, at the address and with the data that a shift register's output
 * register shows after each rise of `store`. EARLY and LATER are two bits of a ring; both are high while WE# is low.
 */
function loader(store: string, inputs: CircuitText["inputs"] = {}): Proof {
  return prove(
    buildCircuit({
      chips: {
        X1: [oscillator(200), "OUT=CK"],
        U1: ["74HC175", "CLK=CK CLR#=high 1D=LATER# 2D=EARLY 3D=LATER# 1Q=EARLY 2Q=LATER 2Q#=LATER# 3Q=SHIFT 4D=low"],
        U2: ["74HC00", "1A=EARLY 1B=LATER 1Y=WE#"],
        U3: ["74HC595", `SER=SERIAL SRCLK=SHIFT SRCLR#=high RCLK=${store} OE#=low QA..QD=A0..A3 QE..QH=D0..D3`],
        U4: ["62256-70", "A0..A3=A0..A3 A4..A14=low IO0..IO3=D0..D3 CE#=low OE#=high WE#=WE#"],
      },
      inputs: { SERIAL: { after: ["SHIFT", "rise"], from: 250, to: 300 }, ...inputs },
    }),
  );
}

const lines = ["A0", "A1", "A2", "A3"];

describe("a serial loader (common practice)", () => {
  const heeding = () => loader("LATER#");
  const heedless = () => loader("STORE", { STORE: { after: ["CK", "fall"], from: 20, to: 60 } });

  test("that stores between two writes keeps every time of the memory, and all else holds", () => {
    const proof = heeding();
    expect(proof.verdicts.filter(({ state }) => state !== "holds")).toEqual([]);
    for (const line of lines) expect(verdictOf(proof, `tAW U4 ${line}`).count).toBeGreaterThan(0);
  });

  test("that stores in every clock changes address and data in the middle of the write", () => {
    const proof = heedless();
    const failing = proof.verdicts.filter(({ state }) => state !== "holds").map(({ name }) => name);
    expect(failing).toEqual(expect.arrayContaining(lines.map((line) => `tAW U4 ${line}`)));
    expect(failing).toEqual(expect.arrayContaining(["tDW U4 IO0", "tDW U4 IO1", "tDW U4 IO2", "tDW U4 IO3"]));
    for (const line of lines) expect(verdictOf(proof, `tAW U4 ${line}`).net).toBe(line);
  });
});
