import { describe, expect, test } from "vitest";
import { describeFrame } from "../../src/cli/simulate-text.js";
import { simulateFrame } from "../../src/simulation/index.js";
import { buildCircuit, gate, known, oscillator } from "../support/build-circuit.js";

const figures = { delay: 10, setUp: 10, hold: 0, width: 20, period: 50, recovery: 15 };

describe("`simulate --watch`", () => {
  test("draws the nets around the worst of what chips were not given", () => {
    // The clock turned over comes 495 ns late: 5 ns before the next edge. Set-up 10 ns is asked for.
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(1000), "OUT=CK"],
        U1: [known("74", figures), "1CLK=CK 1D=D 1CLR#=high 1PRE#=high 1Q=Q"],
        U2: [gate("A", "!A", 495), "A=CK Y=D"],
      },
      picture: { hsync: "Q", vsync: "CK", video: "Q", size: [40, 30] },
    });
    const { around, violations, ...seen } = simulateFrame(circuit, { frames: 1, watch: true });
    expect(violations?.map(({ rule, pin }) => `${rule} ${pin}`)).toContain("set-up 1D");
    expect(around?.violation).toMatchObject({ rule: "set-up", pin: "1D" });
    const { at = 0, from = 0, to = 0, tapes } = around?.waves ?? {};
    expect(tapes?.map(({ name }) => name)).toEqual(["CK", "D"]);
    // The clock rises at the moment of the violation, which is in the middle of what is drawn; the data 5 ns before.
    expect(tapes?.[0]?.tape.timesFs).toContain(at);
    expect(tapes?.[1]?.tape.timesFs).toContain(at - 5e6);
    expect(to - at).toBe(at - from);
    const lines = describeFrame(circuit, { ...seen, ...(violations && { violations }), ...(around && { around }) });
    const text = lines.join("\n");
    expect(text).toMatch(/\nU1 1D to 1CLK: set-up tsu; a is its worst moment\. 160 ns from .* after power-up\.\n/);
    expect(text).toMatch(/\nCK {2}_+\/‾+\n/);
    expect(simulateFrame(circuit, { frames: 1 }).around).toBeUndefined();
  });
});
