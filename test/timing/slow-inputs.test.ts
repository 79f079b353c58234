import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { type CircuitText, buildCircuit, oscillator } from "../support/build-circuit.js";

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
describe("a push-button, which rests for thousands of clock periods,", () => {
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
