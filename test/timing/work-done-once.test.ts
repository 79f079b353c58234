import { expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { quick } from "./verdict-fixture.js";

/** Counters of four bits in a row, each of which counts at the carry of those before it. */
function counters(count: number) {
  const stage = (n: number) =>
    `CLK=CK CLR#=high LOAD#=high ENP=high ENT=${n === 0 ? "high" : `C${n - 1}`} A..D=low RCO=C${n}`;
  return buildCircuit({
    wires: [0, 1],
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      ...Object.fromEntries(
        Array.from({ length: count }, (_, n) => [`U${n + 1}`, [known("163", quick), stage(n)] as const]),
      ),
      U9: [known("174", quick), `CLK=CK CLR#=high 1D=C${count - 1} 2D..6D=low`],
    },
  });
}

/** What a proof costs, without the time that it takes. */
function workOf(count: number) {
  const { cycleTicks, work } = prove(counters(count));
  expect(cycleTicks).toBe(16 ** count);
  if (!work) throw new Error("nothing was proved");
  return work;
}

test("a counter more makes sixteen times as many periods, and at most four times as much to work out", () => {
  const [two, three, four] = [workOf(2), workOf(3), workOf(4)];
  for (const [less, more] of [
    [two, three],
    [three, four],
  ] as const) {
    expect(more.situations).toBeLessThan(4 * less.situations);
    expect(more.reactionsFound).toBeLessThan(4 * less.reactionsFound);
    expect(more.differencesFound).toBeLessThan(2 * less.differencesFound);
  }
});

test("most of what is asked again is known: two counters have no more than a dozen different differences of delays a chip", () => {
  const { differencesFound, differencesKnown, reactionsFound, reactionsKnown } = workOf(2);
  // Of three clocked chips and one carry: at a data pin, a carry and the clock, for set-up, hold, width and period.
  expect(differencesFound).toBeLessThan(4 * 12);
  expect(differencesKnown).toBeGreaterThan(20 * differencesFound);
  // 256 periods in which twelve places change: nearly all of it comes again.
  expect(reactionsFound + reactionsKnown).toBeLessThan(256 * 12);
  expect(reactionsFound).toBeLessThan(256 * 6);
});
