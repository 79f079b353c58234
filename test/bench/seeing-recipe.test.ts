import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { seeingRecipe } from "../../src/bench/index.js";
import { readCircuit } from "../../src/circuit/index.js";
import { underLoad } from "../../src/electrical/index.js";
import { prove } from "../../src/timing/index.js";

function recipeOf(name: string, verdictName: string): readonly string[] {
  const file = new URL(`../../examples/rules/${name}.circuit.yaml`, import.meta.url);
  const { circuit } = readCircuit(readFileSync(file, "utf8"), name);
  if (!circuit) throw new Error(`${name} has mistakes`);
  const loaded = underLoad(circuit);
  const verdict = prove(loaded).verdicts.find((one) => one.name === verdictName);
  if (!verdict) throw new Error(`there is no ${verdictName}`);
  return seeingRecipe(loaded, verdict);
}

describe("how to see a verdict on the bench", () => {
  // Pin numbers of the 74 as every sheet has them: 2 is 1D, 3 is 1CLK.
  test("of a set-up: trigger on the clock, probe data and clock, expect what the proof says", () => {
    const [trigger, probes, times, instrument] = recipeOf("set-up", "set-up U4 1D");
    expect(trigger).toBe("Trigger on DOT at U4 pin 3 (1CLK), its rise.");
    expect(probes).toBe("Probe LAST# at U4 pin 2 (1D) and DOT at U4 pin 3 (1CLK), each with its ground at that chip.");
    expect(times).toBe(
      "From the first to the second expect about 20.02 ns at typical delays, -1.28 ns at the worst; 3.10 ns are asked for.",
    );
    // Half of the 4.38 ns that the margin is off zero.
    expect(instrument).toContain("every 2.2 ns");
  });

  // Scilab Textbook Companion, book 2528, example 6.4: bandwidth is 0.35 by the rise time.
  test("asks for a scope of 0.35 by the rise time of the chips that are probed", () => {
    const [, , , instrument = ""] = recipeOf("hold", "hold U4 1D");
    const [, rise = "", asked = ""] = /take about ([\d.]+) ns: a scope and a probe of (\d+) MHz/.exec(instrument) ?? [];
    const exact = 350 / Number(rise);
    expect(Number(asked)).toBeGreaterThanOrEqual(exact);
    expect(Number(asked)).toBeLessThanOrEqual(Math.max(20, exact + 10));
  });

  test("of a turn-around: the two outputs on the wire", () => {
    const [, probes] = recipeOf("contention", "contention WIRE U3 1Y/U3 2Y");
    expect(probes).toBe("Probe WIRE at U3 pin 3 (1Y) and WIRE at U3 pin 6 (2Y), each with its ground at that chip.");
  });

  test("is nothing where no time between two pins decides", () => {
    expect(recipeOf("hold", "power-up")).toEqual([]);
  });
});
