import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";

const latch = known("574", { delay: [2, 8], setUp: 4, hold: 3, width: 5, period: 20 });

/** A register that a rare strobe clocks; its data stand from so long before the strobe's end until so long after it. */
const verdicts = (before: number, after: number, repeat: number) =>
  prove(
    buildCircuit({
      chips: {
        X1: [oscillator(40), "OUT=CK"],
        U1: [
          known("74", { delay: [2, 8], setUp: 4, hold: 1, width: 5, period: 20 }),
          "1CLK=CK 1D=A 1Q#=A 1PRE#=high 1CLR#=high",
        ],
        U2: [latch, "CLK=WR# 1D=PD OE#=low 1Q=SEEN 2D..8D=low"],
      },
      inputs: {
        "WR#": { anyTime: { high: 150, low: 150, repeat } },
        PD: { steadyAround: ["WR#", "rise"], before, after },
      },
    }),
  ).verdicts.filter(({ chip, rule }) => chip === "U2" && (rule === "hold" || rule === "set-up"));

describe("what a strobe captures once in a long while", () => {
  const margins = (before: number, after: number, repeat: number) =>
    Object.fromEntries(verdicts(before, after, repeat).map(({ rule, margin }) => [rule, (margin ?? NaN) / 1e6]));

  test.each([500, 2600, 10_000])("has its set-up and its hold judged (every %i ns)", (repeat) => {
    expect(margins(10, 5, repeat)).toEqual({ "set-up": 10 - 4, hold: 5 - 3 });
  });

  test.each([500, 2600])("is not held where it changes before the strobe has ended (every %i ns)", (repeat) => {
    expect(margins(10, -2, repeat)).toEqual({ "set-up": 10 - 4, hold: -2 - 3 });
  });
});
