import { describe, expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type CircuitText, buildCircuit, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

const RESTS_NS = 10e6;
const rest = "1PRE#=high 1CLR#=high 2CLK=low 2D=low 2PRE#=high 2CLR#=high";

/** A push-button, let go and pressed for 10 ms at least, in a circuit that runs at 5 MHz. */
const verdictsWith = (chips: CircuitText["chips"]) =>
  prove(
    buildCircuit({
      chips: { X1: [oscillator(200), "OUT=CK"], ...chips },
      inputs: { KEY: { anyTime: { high: RESTS_NS, low: RESTS_NS, repeat: 2 * RESTS_NS } } },
      wires: [0, 1],
    }),
  ).verdicts;

/** Common practice: a signal that comes at any time goes through two flip-flops before anything looks at it. */
describe("a push-button, which rests for thousands of clock periods,", { timeout: 180_000 }, () => {
  test("is proved where two flip-flops take it one after the other", () => {
    const verdicts = verdictsWith({
      U1: ["74HC74", `1CLK=CK 1D=KEY 1Q=SEEN ${rest}`],
      U2: ["74HC74", `1CLK=CK 1D=SEEN 1Q=PRESSED ${rest}`],
    });
    expect(verdicts.filter(({ state }) => state !== "holds")).toEqual([]);
    expect(verdicts.map(({ name }) => name)).toContain("synchroniser U1 1D");
  });

  test("fails where two flip-flops take it side by side and a gate joins what they took", () => {
    const both = "1PRE#=high 1CLR#=high 2PRE#=high 2CLR#=high";
    const failing = verdictsWith({
      U1: ["74HC74", `1CLK=CK 1D=KEY 1Q=ONE 2CLK=CK 2D=KEY 2Q=OTHER ${both}`],
      U2: ["74HC08", "1A=ONE 1B=OTHER 1Y=BOTH 2A..4A=low 2B..4B=low"],
      U3: ["74HC74", `1CLK=CK 1D=BOTH 1Q=PRESSED ${rest}`],
    }).filter(({ state }) => state !== "holds");
    expect(failing.map(({ name, state }) => [name, state])).toEqual([
      ["synchroniser U1 1D", "fails"],
      ["synchroniser U1 2D", "fails"],
    ]);
  });
});

/** Two of them, in the same circuit. */
const proofWithTwo = (chips: CircuitText["chips"]) => {
  const key = { anyTime: { high: RESTS_NS, low: RESTS_NS, repeat: 2 * RESTS_NS } };
  return prove(
    buildCircuit({
      chips: { X1: [oscillator(200), "OUT=CK"], ...chips },
      inputs: { ONE: key, OTHER: key },
      wires: [0, 1],
    }),
  );
};

/** Common practice: a latch of two NANDs takes the bounces out of a change-over switch. */
describe("two push-buttons, each of which may be pressed whatever the other does,", { timeout: 180_000 }, () => {
  test("are proved with a synchroniser each and a gate behind both", () => {
    const proof = proofWithTwo({
      U1: ["74HC74", `1CLK=CK 1D=ONE 1Q=SEEN1 ${rest}`],
      U2: ["74HC74", `1CLK=CK 1D=SEEN1 1Q=PRESSED1 ${rest}`],
      U3: ["74HC74", `1CLK=CK 1D=OTHER 1Q=SEEN2 ${rest}`],
      U4: ["74HC74", `1CLK=CK 1D=SEEN2 1Q=PRESSED2 ${rest}`],
      U5: ["74HC08", "1A=PRESSED1 1B=PRESSED2 1Y=BOTH 2A..4A=low 2B..4B=low"],
      U6: ["74HC74", `1CLK=CK 1D=BOTH 1Q=OUT ${rest}`],
    });
    expect(proof.verdicts.filter(({ state }) => state !== "holds")).toEqual([]);
    // A flip-flop of 44 ns and a gate of 25 with three wires of 1 leave so much of 200, of which the set-up time is asked.
    const { margin, required } = verdictOf(proof, "set-up U6 1D");
    expect((margin ?? 0) + (required ?? 0)).toBe(ns(200 - 1 - 44 - 1 - 25 - 1));
  });

  test("are proved where they set and reset a latch of two gates that a synchroniser looks at", () => {
    const { verdicts } = proofWithTwo({
      U1: ["74HC00", "1A=ONE 1B=OFF 1Y=ON 2A=ON 2B=OTHER 2Y=OFF 3A..4A=low 3B..4B=low"],
      U2: ["74HC74", `1CLK=CK 1D=ON 1Q=SEEN ${rest}`],
      U3: ["74HC74", `1CLK=CK 1D=SEEN 1Q=PRESSED ${rest}`],
    });
    expect(verdicts.filter(({ state }) => state !== "holds")).toEqual([]);
    expect(verdicts.map(({ name }) => name)).toContain("synchroniser U2 1D");
  });

  test("fail where the clock looks at that latch in two places", () => {
    const both = "1PRE#=high 1CLR#=high 2PRE#=high 2CLR#=high";
    const failing = proofWithTwo({
      U1: ["74HC00", "1A=ONE 1B=OFF 1Y=ON 2A=ON 2B=OTHER 2Y=OFF 3A..4A=low 3B..4B=low"],
      U2: ["74HC74", `1CLK=CK 1D=ON 1Q=SEEN 2CLK=CK 2D=OFF 2Q=UNSEEN ${both}`],
    }).verdicts.filter(({ state }) => state !== "holds");
    expect(failing.map(({ rule, pin, state }) => [rule, pin, state])).toEqual([
      ["asynchronous signal", "1D", "fails"],
      ["asynchronous signal", "2D", "fails"],
    ]);
  });
});
