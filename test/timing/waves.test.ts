import { describe, expect, test } from "vitest";
import { parseSketch } from "../support/clocked-circuit.js";
import {
  BOARDS_OF_A_CIRCUIT,
  type Tally,
  discrepanciesOf,
  holdBoardsAgainstProofs,
} from "../support/waves-property.js";

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

test.each([
  [
    "a pulse that would end before it begins",
    `seed 6913610 period 137 tolerance 0 duty 0.42..0.42 wires 0.2..3
U1 163 CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A=low B=low C=high D=low QA=N0 QB=N1 QD=N3
U3 244 1OE#=N3 2OE#=high 1A1=N1 1Y1=N6 2A1=low 2Y1=N6
U4 86 1A=CK 1B=N0 1Y=N7
U6 21 1A=high 1B=N6 1C=high 1D=N7 1Y=N9`,
  ],
  [
    "a change with nothing that causes it",
    `seed 3450543 period 88 tolerance 0 duty 0.5..0.54 wires 0.2..3
U2 02 1A=low 1B=CK 1Y=N3
U3 21 1A=low 1B=low 1C=low 1D=I0 1Y=N4 2A=high 2B=N3 2C=CK 2D=CK 2Y=N5
U5 244 1OE#=CK 2OE#=CK 1A1=N5 1Y1=N7 2A1=N4 2Y1=N7 1A2=CK 1Y2=N8 2A2=I0 2Y2=N8
I0 after CK fall 11..14`,
  ],
])("%s comes on no board, and stands for no other change", (_, sketch) => {
  expect(discrepanciesOf(parseSketch(sketch), TICKS)).toEqual([]);
});

/** So much was compared that nothing can have been passed over. */
function expectAtLeast(tally: Tally, least: Omit<Tally, "boards">): void {
  const tooFew = Object.entries(least).filter(([kind, count]) => tally[kind as keyof Tally] < count);
  expect(tooFew, `of ${JSON.stringify(tally)}`).toEqual([]);
}
