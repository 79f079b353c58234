import { availableParallelism } from "node:os";
import { Tinypool } from "tinypool";
import type { Report } from "../judging/index.js";

/** Where the work of one task is done: a module beside this one and what it exports, by its own name. */
export interface TaskWorker<Task, Result> {
  /** `./board-worker.js` */
  readonly module: string;
  readonly run: (task: Task) => Promise<Result>;
}

/** Threads that stand ready for tasks; none where one thread is enough. */
export class TaskPool<Task, Result> {
  private readonly worker: TaskWorker<Task, Result>;
  private readonly pool: Tinypool | undefined;

  /** @param threads as many as the machine has cores when absent */
  constructor(worker: TaskWorker<Task, Result>, threads: number | undefined, most: number) {
    this.worker = worker;
    const count = Math.min(threads ?? availableParallelism(), most);
    if (count <= 1) return;
    this.pool = new Tinypool({
      filename: new URL(worker.module, import.meta.url).href,
      runtime: "worker_threads",
      minThreads: count,
      maxThreads: count,
    });
  }

  /** Does tasks, one after the other where there are no threads, and tells how many are done. Results are in their order. */
  async run(tasks: readonly Task[], tell: (result: Result, done: number) => void): Promise<readonly Result[]> {
    const { pool, worker } = this;
    let done = 0;
    const counted = async (result: Promise<Result>): Promise<Result> => {
      const known = await result;
      tell(known, ++done);
      return known;
    };
    if (pool) return Promise.all(tasks.map((task) => counted(pool.run(task, { name: worker.run.name }))));
    const results: Result[] = [];
    for (const task of tasks) results.push(await counted(worker.run(task)));
    return results;
  }

  async end(): Promise<void> {
    await this.pool?.destroy();
  }
}

/**
 * Does tasks in threads, or one after the other where one thread is enough, and tells how many are done. Results come in the
 * order of the tasks.
 *
 * @param threads as many as the machine has cores when absent
 */
export async function runTasks<Task, Result>(
  tasks: readonly Task[],
  worker: TaskWorker<Task, Result>,
  threads: number | undefined,
  tell: Report,
): Promise<readonly Result[]> {
  const pool = new TaskPool(worker, threads, tasks.length);
  try {
    return await pool.run(tasks, (_result, done) => tell(done, tasks.length));
  } finally {
    await pool.end();
  }
}
