import { describe, expect, test } from "vitest";
import { BOARDS_OF_A_CIRCUIT, type Tally, holdBoardsAgainstProofs } from "../support/waves-property.js";

/** Together 2,004 boards. */
const CIRCUITS = 250;
const CIRCUITS_WITH_INPUTS = 84;
const TICKS = 20;

/**
 * Two engines that share nothing but the parts' behaviour: the proof's bounds, and the simulation of boards that lie anywhere
 * within the same limits. Every transition of a board lies within a change that the proof has; between changes the level is
 * one of the proof's; a change without glitches holds one edge; no requirement is missed, and no two outputs fight, where the
 * proof finds it met; and no gap is less than the proof's least. A board is followed until a requirement fails in its proof:
 * what comes of that is proved as the builder meant it, not as the board does it.
 */
describe("no transition of a simulated board falls outside the bounds of its proof", () => {
  test("in random circuits of one oscillator", { timeout: 120_000 }, () => {
    const tally = holdBoardsAgainstProofs({ seed: 1, circuits: CIRCUITS, ticks: TICKS, inputs: false });
    expect(tally.boards).toBe(CIRCUITS * BOARDS_OF_A_CIRCUIT);
    expectAtLeast(tally, {
      ...{ boardsToTheEnd: 900, transitions: 100_000, levels: 100_000, edges: 80_000 },
      ...{ glitches: 3000, handOvers: 2000, latched: 800, places: 6000 },
    });
  });

  test("in random circuits with signals from outside", { timeout: 120_000 }, () => {
    const tally = holdBoardsAgainstProofs({ seed: 2, circuits: CIRCUITS_WITH_INPUTS, ticks: TICKS, inputs: true });
    expect(tally.boards).toBe(CIRCUITS_WITH_INPUTS * BOARDS_OF_A_CIRCUIT);
    expectAtLeast(tally, {
      ...{ boardsToTheEnd: 150, transitions: 20_000, levels: 35_000, edges: 25_000 },
      ...{ glitches: 600, handOvers: 300, latched: 5, places: 1000 },
    });
  });
});

/** So much was compared that nothing can have been passed over. */
function expectAtLeast(tally: Tally, least: Omit<Tally, "boards">): void {
  const tooFew = Object.entries(least).filter(([kind, count]) => tally[kind as keyof Tally] < count);
  expect(tooFew, `of ${JSON.stringify(tally)}`).toEqual([]);
}
