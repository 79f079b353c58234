import { textTable, textWaves } from "../paper/index.js";
import { type Fs, formatTime, inNs } from "../quantity/index.js";
import { type BoardStatistics, type BoardWaves, VALUE_LETTERS, shortOf } from "../simulation/index.js";
import { nsText } from "../timing/index.js";
import type { BoardsRequest } from "./boards-run.js";
import { paragraphs, wrapped } from "./prove-layout.js";

/** Kinds of fault that are listed; the rest are counted. */
const MOST_LISTED = 24;
const WAVE_COLUMNS = 76;

/** How many boards fail and in what, and the nets around the worst of what most of them show. */
export function boardsText(
  statistics: BoardStatistics,
  request: BoardsRequest,
  time: Fs,
  waves: BoardWaves | undefined,
): string {
  const { boards, faulty, faults, stopped } = statistics;
  const [first] = faults;
  const left = faults.length - MOST_LISTED;
  return paragraphs([
    wrapped(
      `${faulty === 0 ? "None" : faulty} of ${boards} boards ${faulty === 1 ? "shows" : "show"} a violation, each run for ` +
        `${formatTime(time, 4)} after its reset, with delays, oscillator, contents and outside signals of its own (seeds ` +
        `${request.seed} to ${request.seed + boards - 1}). Boards are no proof: prove is.`,
    ),
    table(statistics),
    left > 0 ? `${left} more kinds: --json lists them.` : "",
    ...stopped
      .slice(0, 1)
      .map(({ seed, stopped: why }) => wrapped(`Board ${seed} was not followed to the end. ${why}`)),
    first && waves ? waveText(first.place, first.worstBoard, waves) : "",
  ]);
}

function table({ faults }: BoardStatistics): string {
  if (faults.length === 0) return "";
  const rows = faults
    .slice(0, MOST_LISTED)
    .map(({ place, boards, worst, worstBoard }) => [
      String(boards.length),
      place,
      nsText(worst.required),
      nsText(worst.actual),
      nsText(-shortOf(worst) as Fs),
      String(worstBoard),
    ]);
  const columns = [
    { head: "boards", align: "right" },
    { head: "what they show", most: 48 },
    { head: "required", align: "right" },
    { head: "worst", align: "right" },
    { head: "margin", align: "right" },
    { head: "on seed", align: "right" },
  ] as const;
  return `${textTable(columns, rows)}\nTimes in nanoseconds.`;
}

function waveText(place: string, seed: number, { tapes, from, to, at }: BoardWaves): string {
  const waves = tapes.map(({ name, tape }) => ({
    name,
    timesFs: tape.timesFs,
    letterAt: (time: number) => VALUE_LETTERS[tape.valueAt(time)],
  }));
  const drawn = textWaves(waves, { from, to, columns: WAVE_COLUMNS }, [{ at, letter: "a" }]);
  const span = `${formatTime((to - from) as Fs, 4)} from ${formatTime(from, 7)} after power-up`;
  return `${wrapped(`${place}, on the board of seed ${seed}; a is its worst moment. ${span}.`)}\n\n${drawn}`;
}

/**
 * Many boards as data, times in nanoseconds: `boards`, `faulty`, `firstSeed`, `frames`, `timeEach`, `events`; `faults` with
 * `place`, `boards` (seeds), `required`, `worst`, `margin`, `worstBoard`, `worstAt`; `stopped` with `seed` and `why`.
 */
export function boardsData(statistics: BoardStatistics, { seed, frames }: BoardsRequest, time: Fs) {
  const { boards, faulty, faults, stopped, events } = statistics;
  return {
    ...{ boards, faulty, firstSeed: seed, frames, timeEach: inNs(time), events },
    faults: faults.map(({ place, boards: seeds, worst, worstBoard }) => ({
      place,
      boards: seeds,
      required: inNs(worst.required),
      worst: inNs(worst.actual),
      margin: inNs(-shortOf(worst) as Fs),
      worstBoard,
      worstAt: inNs(worst.worstAt),
    })),
    stopped: stopped.map(({ seed: own, stopped: why }) => ({ seed: own, why })),
  };
}
