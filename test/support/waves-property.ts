import fc from "fast-check";
import { type Sketch, circuitOfSketch, printSketch } from "./clocked-circuit.js";
import { randomSketch, shrinkSketch } from "./random-clocked-circuit.js";
import { type Counts, type Discrepancy, compare } from "./waves-compare.js";
import { compareMargins } from "./waves-margins.js";
import { provePlainly } from "./waves-proof.js";
import { type Spread, runBoard } from "./waves-run.js";

/** The boards that are simulated of every circuit: all delays typical, all least, all most, and drawn by lot. */
const SPREADS: readonly Spread[] = ["typical", "earliest", "latest", "ends", "even", "even"];
export const BOARDS_OF_A_CIRCUIT = SPREADS.length;

/** Longer than any requirement of the circuits, in oscillator periods: every gap that is shorter has its margin compared. */
const ASKED_PERIODS = 0.9;
/** Ticks that the proof goes on after the boards stop, so that every change of theirs is over. */
const TICKS_TO_CLOSE = 4;
/** Time for making a circuit that fails smaller, in ms. */
const MOST_SHRINKING_MS = 60_000;

export interface Tally extends Counts {
  /** Boards that were simulated, and those that the proof follows from their first tick to the last. */
  boards: number;
  boardsToTheEnd: number;
  /** Places of requirements, each on one board, where the least gap was held against the proof's. */
  places: number;
}

export interface WavesOptions {
  readonly seed: number;
  readonly circuits: number;
  /** Ticks that each board runs. */
  readonly ticks: number;
  /** Some nets come from outside, within limits after edges of others. */
  readonly inputs: boolean;
}

/**
 * Proves random circuits, simulates boards of each, and counts what was compared. Throws an Error that gives the seed and the
 * smallest circuit found as text for `parseSketch` where a board does what its proof excludes.
 */
export function holdBoardsAgainstProofs({ seed, circuits, ticks, inputs }: WavesOptions): Tally {
  const tally: Tally = {
    ...{ boards: 0, boardsToTheEnd: 0, places: 0 },
    ...{ transitions: 0, levels: 0, edges: 0, glitches: 0, handOvers: 0, latched: 0 },
  };
  const seeds = fc.noBias(fc.noShrink(fc.integer({ min: 0, max: 9_999_999 })));
  const property = fc.property(seeds, (circuitSeed) => {
    const sketch = randomSketch(circuitSeed, { inputs });
    const [found] = discrepanciesOf(sketch, ticks, tally);
    if (found) throw new Error(describeSmallest(sketch, ticks, found));
  });
  fc.assert(property, { seed, numRuns: circuits });
  return tally;
}

/** What boards of a circuit do that its proof excludes; of the first board that does. */
export function discrepanciesOf(sketch: Sketch, ticks: number, tally?: Tally): readonly Discrepancy[] {
  const circuit = circuitOfSketch(sketch);
  const asking = circuitOfSketch(sketch, ASKED_PERIODS);
  let isOneWayOfSeveral = false;
  const proof = provePlainly(circuit, ticks + TICKS_TO_CLOSE, () => {
    isOneWayOfSeveral = true;
    return 0;
  });
  // A board may go another way than the one that was followed.
  if (isOneWayOfSeveral) {
    if (tally) tally.boards += SPREADS.length;
    return [];
  }
  for (const [index, spread] of SPREADS.entries()) {
    const seed = sketch.seed * SPREADS.length + index;
    const run = runBoard(circuit, seed, spread, ticks);
    const { discrepancies, until, beginsAlike, ...counts } = compare(proof, run);
    // What happens at that very time may come of the failure already.
    const asked = runBoard(asking, seed, spread, ticks, Math.max(0, until - 1));
    const margins = beginsAlike ? compareMargins(proof, asked, until) : { discrepancies: [], places: 0 };
    const found = [...discrepancies, ...margins.discrepancies];
    if (found.length > 0) return found;
    if (!tally) continue;
    tally.boards++;
    if (until === run.end) tally.boardsToTheEnd++;
    tally.places += margins.places;
    for (const kind of Object.keys(counts) as (keyof Counts)[]) tally[kind] += counts[kind];
  }
  return [];
}

function describeSmallest(sketch: Sketch, ticks: number, { what, text }: Discrepancy): string {
  const deadline = performance.now() + MOST_SHRINKING_MS;
  const alike = (found: readonly Discrepancy[]) => found.find((other) => other.what === what);
  const smallest = shrinkSketch(
    sketch,
    (smaller) => performance.now() < deadline && alike(discrepanciesOf(smaller, ticks)) !== undefined,
  );
  const found = alike(discrepanciesOf(smallest, ticks));
  return [
    `circuit ${sketch.seed}: ${what}: ${text}`,
    `the smallest circuit: ${found?.text ?? text}`,
    printSketch(smallest),
  ].join("\n");
}
