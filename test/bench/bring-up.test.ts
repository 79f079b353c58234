import { describe, expect, it } from "vitest";
import { bringUpOf, explainHertz, faultBenchOf, observationText } from "../../src/bench/index.js";
import { chaser } from "./chaser.js";

const bench = faultBenchOf(chaser(), { atRest: true });
const steps = bringUpOf(bench);
const checks = steps.flatMap((step) => step.checks.map((check) => ({ ...check, step: step.number })));

describe("bringing a board up", () => {
  it("begins with the supply without chips, then the oscillator", () => {
    expect(steps[0]?.plug).toEqual([]);
    expect(steps[0]?.checks[0]?.instrument).toBe("meter");
    expect(steps[0]?.checks[0]?.expected).toBe("4.75 to 5.25 V");
    expect(steps[1]?.plug).toEqual(["X1 (OSC-1MHz)"]);
    expect(checks.find(({ net }) => net === "OSC")?.hertz).toBeCloseTo(1e6, -1);
  });

  it("plugs every chip once, and each only when what its checks hang on is there", () => {
    const plugged = steps.flatMap(({ plug }) => plug.map((chip) => chip.split(" ")[0]));
    expect(new Set(plugged)).toEqual(new Set(["U1", "U2", "U3", "U4", "U5", "U6", "X1"]));
    expect(plugged).toHaveLength(7);
    for (const { at, step } of checks) {
      const chip = at.split(".")[0] ?? "";
      if (!/^[UX]\d/.test(chip)) continue;
      expect(plugged.indexOf(chip)).toBeLessThan(steps.slice(0, step).flatMap(({ plug }) => plug).length);
    }
  });

  it("expects of a divider half of its clock, and of a counter's bits a half each", () => {
    const hertz = (net: string) => bench.good.readings.at(bench.board.nodeNames.indexOf(net))?.[0].hertz ?? 0;
    expect(hertz("HALF")).toBeCloseTo(500_000, -3);
    expect(hertz("Q0")).toBeCloseTo(250_000, -3);
    expect(hertz("Q3") / 31_250).toBeCloseTo(1, 2);
  });

  /** VESA DMT 0x04: 640x480 at 60 Hz has its vertical sync low for 2 lines of 525. */
  it("shows the share of a signal that is nearly always high as less than all, and of its opposite as more than nothing", () => {
    const shown = (duty: number) => observationText({ kind: "duty", pin: 0, duty });
    expect([523 / 525, 2 / 525, 1, 0, 0.125].map(shown)).toEqual([
      "99.6 % high",
      "0.4 % high",
      "100 % high",
      "0 % high",
      "13 % high",
    ]);
  });

  it("takes twice the frequency for the tap one stage earlier, and says whose it is", () => {
    expect(explainHertz(bench, 31_250, 62_500)).toBe(
      "62.50 kHz in place of 31.25 kHz. It is 2 times 31.25 kHz: the tap one stage earlier. That is the frequency of Q2.",
    );
    expect(explainHertz(bench, 31_250, 31_260)).toBeUndefined();
    expect(explainHertz(bench, 31_250, 41_000)).toContain("No net of the circuit has this frequency.");
  });
});
