import { describe, expect, test } from "vitest";
import { BOARDS_OF_A_CIRCUIT, holdBoardsAgainstProofs } from "../support/waves-property.js";

/** 20 times 1,002 boards; other circuits than in `npm test`, followed for longer. */
const SEEDS = Array.from({ length: 20 }, (_, index) => 100 + index);
const CIRCUITS = 167;
const TICKS = 32;

describe("no transition of any of twenty thousand simulated boards falls outside the bounds of its proof", () => {
  test.each(SEEDS)("random circuits of seed %i", { timeout: 600_000 }, (seed) => {
    // Every third thousand has signals from outside.
    const tally = holdBoardsAgainstProofs({ seed, circuits: CIRCUITS, ticks: TICKS, inputs: seed % 3 === 0 });
    expect(tally.boards).toBe(CIRCUITS * BOARDS_OF_A_CIRCUIT);
    expect(tally.transitions).toBeGreaterThan(50_000);
    expect(tally.places).toBeGreaterThan(2000);
  });
});
