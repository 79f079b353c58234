import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { type CircuitText, buildCircuit, oscillator } from "../support/build-circuit.js";

type Chips = CircuitText["chips"];

/** Set and reset come from a counter's registered decode: one flip-flop each, so neither can glitch. */
const registered: Chips = {
  U3: ["74HC163", "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA=C0 QB=C1 QC=C2"],
  U4: ["74HC11", "1A=C0 1B=C1 1C=C2 1Y=SOON_SET 2A=C0 2B=C1 2C=N2 2Y=SOON_RESET 3A..3C=low"],
  U6: ["74HC04", "1A=C2 1Y=N2 2A=SOON_SET 2Y=SOON_SET# 3A=SOON_RESET 3Y=SOON_RESET# 4A..6A=low"],
  U5: ["74HC175", "CLK=CK CLR#=high 1D=SOON_SET 1Q#=SET# 2D=SOON_RESET 2Q#=RESET# 3D..4D=low"],
};
const latch = (set: string, reset: string): Chips => ({
  U1: ["74HC00", `1A=${set} 1B=OFF 1Y=ON 2A=${reset} 2B=ON 2Y=OFF`],
  U2: ["74HC74", "1CLK=CK 1D=ON 1PRE#=high 1CLR#=high 1Q=SEEN"],
});
const verdicts = (chips: Chips) =>
  prove(buildCircuit({ chips: { X1: [oscillator(200), "OUT=CK"], ...chips } })).verdicts.map(
    ({ name, state, note }) => ({ name, state, note }),
  );
const failing = (chips: Chips) => verdicts(chips).filter(({ state }) => state !== "holds");

describe("gates that lead back to themselves", () => {
  test("three inverters in a ring never come to rest", () => {
    const [found] = failing({
      U1: ["74HC04", "1A=C 1Y=A 2A=A 2Y=B 3A=B 3Y=C 4A..6A=low"],
      U2: ["74HC74", "1CLK=CK 1D=C 1PRE#=high 1CLR#=high 1Q=SEEN"],
    });
    expect(found?.name).toMatch(/^feedback /);
    expect(found?.note).toMatch(/U1 1A to 1Y/);
  });

  test("a gate that does not invert may stand anywhere", () => {
    const names = failing({ U1: ["74HC86", "1A=CK 1B=A 1Y=A"] }).map(({ name }) => name);
    expect(names).toContain("feedback A");
  });

  test("a transceiver leads one way or the other", () => {
    const names = verdicts({
      U1: ["74HC245", "A1=LEFT B1=RIGHT A2..A8=low DIR=CK OE#=low"],
      U2: ["74HC74", "1CLK=CK 1D=RIGHT 1PRE#=high 1CLR#=high 1Q=SEEN"],
    }).map(({ name }) => name);
    expect(names.some((name) => name.startsWith("feedback"))).toBe(false);
  });

  test("two cross-coupled NANDs are a latch, which holds where flip-flops set and clear it", () => {
    expect(failing({ ...registered, ...latch("SET#", "RESET#") })).toEqual([]);
  });

  test("a glitch of what sets the latch may set it", () => {
    const names = failing({ ...registered, ...latch("SOON_SET#", "SOON_RESET#") }).map(({ name }) => name);
    expect(names).toEqual(expect.arrayContaining(["glitch U1 1A", "glitch U1 2A"]));
    expect(names.some((name) => name.startsWith("feedback"))).toBe(false);
  });
});
