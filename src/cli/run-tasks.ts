import { availableParallelism } from "node:os";
import { Tinypool } from "tinypool";
import type { Report } from "../judging/index.js";

/** Where the work of one task is done: a module beside this one and what it exports, by its own name. */
export interface TaskWorker<Task, Result> {
  /** `./board-worker.js` */
  readonly module: string;
  readonly run: (task: Task) => Promise<Result>;
}

/**
 * Does tasks in threads, or one after the other where one thread is enough, and tells how many are done. Results come in the
 * order of the tasks.
 *
 * @param threads as many as the machine has cores when absent
 */
export async function runTasks<Task, Result>(
  tasks: readonly Task[],
  { module, run }: TaskWorker<Task, Result>,
  threads: number | undefined,
  tell: Report,
): Promise<readonly Result[]> {
  const workers = Math.min(threads ?? availableParallelism(), tasks.length);
  let done = 0;
  const counted = async (result: Promise<Result>): Promise<Result> => {
    const known = await result;
    tell(++done, tasks.length);
    return known;
  };
  if (workers <= 1) {
    const results: Result[] = [];
    for (const task of tasks) results.push(await counted(run(task)));
    return results;
  }
  const pool = new Tinypool({
    filename: new URL(module, import.meta.url).href,
    runtime: "worker_threads",
    minThreads: workers,
    maxThreads: workers,
  });
  try {
    return await Promise.all(tasks.map((task) => counted(pool.run(task, { name: run.name }))));
  } finally {
    await pool.destroy();
  }
}
