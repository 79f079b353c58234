import type { Circuit } from "../circuit/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { NoProgress, type Tables, compileTables } from "../simulation/index.js";
import type { Verdict } from "../timing/index.js";
import { type Corner, NOWHERE, cornerOf, cornerOfBoard, joined } from "./corner.js";
import { racesTo } from "./race.js";
import { type Hint, relax } from "./relax.js";
import { type Rest, type Scene, stage } from "./scene.js";
import { Lookout, type Sighting } from "./sighting.js";

/** One board, within all limits, on which a failure happens; anybody can run it again. */
export interface Witness extends Sighting {
  /** The name of the verdict. */
  readonly verdict: string;
  readonly scene: Scene;
}

export interface WitnessOptions {
  /** Oscillator periods until the circuit's state repeats, and before. */
  readonly cycleTicks: number;
  readonly leadTicks: number;
  /** Called with the share that is done, 0 to 1; return false to stop with what was found. */
  readonly onProgress?: (share: number) => boolean | undefined;
}

/** Several lines of any published raster. */
const SHORT_TICKS = 16_384;
/** A short run ends when nothing new can come; it is looked at so often. */
const CHUNK_TICKS = 2048;

const RELAXED_SEED = 8;
const RACE_SEED = 9;
const CASES_SEED = 12;

interface Attempt {
  readonly rest: Rest;
  readonly seed: number;
  readonly isWhole: boolean;
  /** Runs no board for what was seen already, though not at its worst. */
  readonly isForUnseen?: boolean;
}

/** How the delays are set that a corner says nothing of: in turn, until every failure was seen. */
const ATTEMPTS: readonly Attempt[] = [
  { rest: "typical", seed: 1, isWhole: false },
  { rest: "typical", seed: 2, isWhole: false },
  { rest: "latest", seed: 3, isWhole: false },
  { rest: "earliest", seed: 4, isWhole: false },
  { rest: { seed: 5, spread: "ends" }, seed: 5, isWhole: false },
  { rest: { seed: 6, spread: "ends" }, seed: 6, isWhole: false },
  { rest: "typical", seed: 7, isWhole: true },
  { rest: "latest", seed: 10, isWhole: true, isForUnseen: true },
  { rest: "earliest", seed: 11, isWhole: true, isForUnseen: true },
];

/**
 * Looks for a board on which each of these failures happens, the worst that there is: every delay that counts at its limit,
 * then run in time. Failures whose boards do not contradict one another are run as one board.
 */
export function findWitnesses(
  circuit: Circuit,
  failures: readonly Verdict[],
  { cycleTicks, leadTicks, onProgress }: WitnessOptions,
): ReadonlyMap<string, Witness> {
  const tables = compileTables(circuit);
  const found = new Map<string, Witness>();
  for (const [done, { rest, seed, isWhole, isForUnseen }] of ATTEMPTS.entries()) {
    const open = failures.filter(({ name }) => (isForUnseen ? !found.has(name) : !found.get(name)?.isWorst));
    const ticks = isWhole ? leadTicks + cycleTicks : Math.min(SHORT_TICKS, leadTicks + 2 * cycleTicks);
    for (const { corner, verdicts } of batches(circuit, open)) {
      if (onProgress?.(done / (ATTEMPTS.length + 1)) === false) return found;
      const scene: Scene = { corner, rest, seed, busy: true };
      for (const [{ name }, sighting] of runBoard(tables, scene, verdicts, ticks)) {
        const known = found.get(name);
        if (!known || isWorse(sighting, known)) found.set(name, { verdict: name, scene, ...sighting });
      }
    }
  }
  for (const verdict of failures) {
    if (verdict.rule !== "glitch") continue;
    for (const { corner, rest } of racesTo(circuit, verdict)) {
      if (found.has(verdict.name)) break;
      if (onProgress?.(ATTEMPTS.length / (ATTEMPTS.length + 1)) === false) return found;
      const scene: Scene = { corner, rest, seed: RACE_SEED, busy: true };
      const ticks = Math.min(SHORT_TICKS, leadTicks + 2 * cycleTicks);
      const sighting = runBoard(tables, scene, [verdict], ticks).get(verdict);
      if (sighting) found.set(verdict.name, { verdict: verdict.name, scene, ...sighting });
    }
  }
  const hints: Hint[] = [];
  for (const verdict of failures) {
    if (found.has(verdict.name)) continue;
    if (onProgress?.(ATTEMPTS.length / (ATTEMPTS.length + 1)) === false) return found;
    const relaxed = relax(tables, verdict, RELAXED_SEED, hints);
    if (!relaxed) continue;
    found.set(verdict.name, { verdict: verdict.name, ...relaxed });
    if (!hints.some((hint) => hint.relaxed === relaxed.relaxed)) hints.unshift(relaxed);
  }
  return found;
}

/**
 * The board that has the margin which was decided case by case, run in time; undefined where there is none, or where what it
 * does elsewhere keeps it from coming to that.
 */
export function witnessOfCases(
  circuit: Circuit,
  verdict: Verdict,
  { cycleTicks, leadTicks }: Pick<WitnessOptions, "cycleTicks" | "leadTicks">,
): Witness | undefined {
  const board = verdict.exact?.board;
  if (!board) return undefined;
  const scene: Scene = { corner: cornerOfBoard(board), rest: "typical", seed: CASES_SEED, busy: true };
  const sighting = runBoard(compileTables(circuit), scene, [verdict], leadTicks + 2 * cycleTicks).get(verdict);
  return sighting && { verdict: verdict.name, scene, ...sighting };
}

/** Runs one board, until all is seen or the time is up. */
function runBoard(
  tables: Tables,
  scene: Scene,
  verdicts: readonly Verdict[],
  ticks: number,
): ReadonlyMap<Verdict, Sighting> {
  const staged = stage(tables, scene);
  const lookout = new Lookout(tables, staged, verdicts);
  const { simulator, oscillator } = staged;
  try {
    for (let done = 0; done < ticks && !lookout.isDone; done += CHUNK_TICKS) {
      simulator.run(fs(oscillator.start + oscillator.period * Math.min(ticks, done + CHUNK_TICKS)));
    }
  } catch (error) {
    if (!(error instanceof NoProgress)) throw error;
  }
  return lookout.seen;
}

interface Batch {
  corner: Corner;
  readonly verdicts: Verdict[];
}

/** Failures whose corners agree, together. */
function batches(circuit: Circuit, verdicts: readonly Verdict[]): readonly Batch[] {
  const found: Batch[] = [];
  for (const verdict of verdicts) {
    const own = verdict.chains ? cornerOf(circuit, verdict.chains) : NOWHERE;
    const fits = found.some((batch) => {
      const both = joined(batch.corner, own);
      if (!both) return false;
      batch.corner = both;
      batch.verdicts.push(verdict);
      return true;
    });
    if (!fits) found.push({ corner: own, verdicts: [verdict] });
  }
  return found;
}

function isWorse(one: Sighting, other: Sighting): boolean {
  if (one.isWorst !== other.isWorst) return one.isWorst;
  return one.available !== undefined && other.available !== undefined && one.available < other.available;
}

/** The margin on the witness's board; undefined where no time decides. */
export function marginOf({ available }: Sighting, { required }: Verdict): Fs | undefined {
  return available === undefined || required === undefined ? undefined : fs(available - required);
}
