import { availableParallelism } from "node:os";
import { Tinypool } from "tinypool";
import type { Circuit } from "../circuit/index.js";
import { type BoardReport, replayBoard, statisticsOf } from "../simulation/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { findRaster, timeOfLines } from "../raster/index.js";
import { runBoardTask } from "./board-worker.js";
import { boardsData, boardsText } from "./boards-text.js";
import type { Answer } from "./command.js";
import type { Progress, Report } from "../judging/index.js";

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
  const workers = Math.min(request.workers ?? availableParallelism(), request.boards);
  const reports = await progress.during(`running ${request.boards} boards`, (tell) =>
    workers > 1 ? inThreads(tasks, workers, tell) : inTurn(tasks, tell),
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

type Tasks = readonly Parameters<typeof runBoardTask>[0][];

async function inThreads(tasks: Tasks, workers: number, tell: Report): Promise<readonly BoardReport[]> {
  const pool = new Tinypool({
    filename: new URL("./board-worker.js", import.meta.url).href,
    runtime: "worker_threads",
    minThreads: workers,
    maxThreads: workers,
  });
  let done = 0;
  try {
    return await Promise.all(
      tasks.map(async (task) => {
        const report: BoardReport = await pool.run(task, { name: runBoardTask.name });
        tell(++done, tasks.length);
        return report;
      }),
    );
  } finally {
    await pool.destroy();
  }
}

async function inTurn(tasks: Tasks, tell: Report): Promise<readonly BoardReport[]> {
  const reports: BoardReport[] = [];
  for (const task of tasks) {
    reports.push(await runBoardTask(task));
    tell(reports.length, tasks.length);
  }
  return reports;
}

/** The time of so many frames of the circuit's raster. */
function timeOf({ raster }: Circuit, frames: number): Fs {
  const found = findRaster(raster);
  return found.found ? fs(frames * timeOfLines(found.raster, found.raster.v.total)) : fs(frames * USUAL_TIME);
}
