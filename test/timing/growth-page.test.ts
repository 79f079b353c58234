import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { growthCircuit } from "../../bench/growth-circuit.js";
import { prove } from "../../src/timing/index.js";

const page = readFileSync(new URL("../../docs/growth.md", import.meta.url), "utf8");
const rows = [...page.matchAll(/^\|\s*(\d+) \|\s*(\d+) \|\s*(\d+) \|\s*(\d+) \|\s*(\d+) \|\s*([\d.]+) \|$/gm)].map(
  (row) => row.slice(1).map(Number),
);

describe("the page on how the proof grows (npm run growth writes it anew)", () => {
  test("says on which day and on which machine it was measured", () => {
    expect(page).toMatch(/^Measured on \d{4}-\d\d-\d\d, Node \d+\.\d+\.\d+, \d+ x \S.+\. Seconds of processor time/m);
  });

  test("goes from ten chips to eighty, and to a million oscillator periods", () => {
    const chips = rows.map(([, , count = 0]) => count);
    expect(Math.min(...chips)).toBeLessThanOrEqual(10);
    expect(Math.max(...chips)).toBeGreaterThanOrEqual(80);
    expect(Math.max(...rows.map(([, , , ticks = 0]) => ticks))).toBeGreaterThan(1_000_000);
  });

  test("gives the chips, oscillator periods and situations that its smallest circuits have", () => {
    for (const [counters = 0, groups = 0, ...given] of [...rows]
      .sort((a, b) => (a[4] ?? 0) - (b[4] ?? 0))
      .slice(0, 2)) {
      const circuit = growthCircuit({ counters, groups });
      const { cycleTicks, leadTicks, situations } = prove(circuit);
      expect(given.slice(0, 3)).toEqual([circuit.chips.length, cycleTicks + leadTicks, situations]);
    }
  });
});
