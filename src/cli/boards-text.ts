import { textTable } from "../paper/index.js";
import { type Fs, formatTime, inNs } from "../quantity/index.js";
import { type BoardStatistics, type BoardWaves, shortOf } from "../simulation/index.js";
import { nsText } from "../timing/index.js";
import type { BoardsRequest } from "./boards-run.js";
import { paragraphs, wrapped } from "./prove-layout.js";
import { wavesText } from "./waves-text.js";

/** Kinds of fault that are listed; the rest are counted. */
const MOST_LISTED = 24;

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
    first && waves ? wavesText(`${first.place}, on the board of seed ${first.worstBoard}`, waves) : "",
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
