import type { Circuit } from "../circuit/index.js";
import { replayBoard, statisticsOf } from "../simulation/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { findRaster, timeOfLines } from "../raster/index.js";
import { runBoardTask } from "./board-worker.js";
import { boardsData, boardsText } from "./boards-text.js";
import type { Answer } from "./command.js";
import { runTasks } from "./run-tasks.js";
import type { Progress } from "../judging/index.js";

/** Of a circuit whose raster is not known, this much is run: some tens of lines of any raster. */
const USUAL_TIME = fs(1e12);

export interface BoardsRequest {
  readonly file: string;
  readonly boards: number;
  /** Of the first board; each further one has the next. */
  readonly seed: number;
  readonly frames: number;
  /** Threads; as many as the machine has cores when absent. */
  readonly workers: number | undefined;
}

/** Runs many boards of a circuit, each with delays of its own, and says how many fail and in what. */
export async function runBoards(circuit: Circuit, request: BoardsRequest, progress: Progress): Promise<Answer> {
  const time = timeOf(circuit, request.frames);
  const seeds = Array.from({ length: request.boards }, (_, index) => request.seed + index);
  const tasks = seeds.map((seed) => ({ file: request.file, seed, time }));
  const worker = { module: "./board-worker.js", run: runBoardTask };
  const reports = await progress.during(`running ${request.boards} boards`, (tell) =>
    runTasks(tasks, worker, request.workers, tell),
  );
  const statistics = statisticsOf(reports);
  const [first] = statistics.faults;
  const waves = first && replayBoard(circuit, first.worstBoard, first.worst);
  return {
    exitCode: statistics.faulty > 0 ? 1 : 0,
    text: boardsText(statistics, request, time, waves),
    json: boardsData(statistics, request, time),
  };
}

/** The time of so many frames of the circuit's raster. */
function timeOf({ raster }: Circuit, frames: number): Fs {
  const found = findRaster(raster);
  return found.found ? fs(frames * timeOfLines(found.raster, found.raster.v.total)) : fs(frames * USUAL_TIME);
}
