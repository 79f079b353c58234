import { createHash } from "node:crypto";
import { mkdir, readFile, rename, writeFile } from "node:fs/promises";
import { homedir } from "node:os";
import { join } from "node:path";
import {
  EditPlan,
  FAULTS_IN_GROUP,
  type FaultBench,
  type ScenarioOptions,
  type Signature,
  Stages,
  faultBenchOf,
  keepSignatures,
  knownBenchOf,
  readSignatures,
  sameFaultsText,
} from "../bench/index.js";
import type { Circuit } from "../circuit/index.js";
import type { Progress, Report } from "../judging/index.js";
import { type FaultsTask, runFaultsTask } from "./faults-worker.js";
import { TaskPool } from "./run-tasks.js";

export interface FaultsRequest extends Omit<ScenarioOptions, "known"> {
  readonly file: string;
  /** Threads; as many as the machine has cores when absent. */
  readonly workers: number | undefined;
}

/** A circuit with what each of its faults brings about. */
export interface SimulatedFaults {
  readonly bench: FaultBench;
  readonly signatures: readonly Signature[];
  /** False where they were kept from an earlier run. */
  readonly isNew: boolean;
}

/**
 * Simulates every single fault of a circuit, in threads, and keeps what came of it in the user's cache folder, so that the
 * next question about the same circuit is answered at once.
 */
export async function runFaults(
  circuit: Circuit,
  request: FaultsRequest,
  progress: Progress,
): Promise<SimulatedFaults> {
  const { file, atRest = false, writeEvery } = request;
  const options = { atRest, ...(writeEvery !== undefined && { writeEvery }) };
  const key = createHash("sha256")
    .update(sameFaultsText(circuit, JSON.stringify(options)))
    .digest("hex");
  const kept = join(cacheFolder(), `faults-${key.slice(0, 24)}.json`);
  const bench = await progress.during("simulating the board without faults", () => faultBenchOf(circuit, options));
  const known = await readKept(kept, key);
  if (known?.length === bench.faults.length) return { bench, signatures: known, isNew: false };

  const label = `simulating ${bench.faults.length} faults`;
  const signatures = await progress.during(label, (tell) =>
    simulate(bench, { file, atRest, writeEvery }, request, tell),
  );
  await writeKept(kept, keepSignatures(key, signatures));
  return { bench, signatures, isNew: true };
}

/** Takes all faults through their stages, a group of boards a task. */
async function simulate(
  bench: FaultBench,
  asked: Pick<FaultsTask, "file" | "atRest" | "writeEvery">,
  { workers }: FaultsRequest,
  tell: Report,
): Promise<readonly Signature[]> {
  const plan = new EditPlan(
    bench,
    bench.faults.map(({ edit }) => edit),
  );
  const stages = new Stages(plan);
  const known = knownBenchOf(bench);
  const pool = new TaskPool(
    { module: "./faults-worker.js", run: runFaultsTask },
    workers,
    Math.ceil(plan.boards.length / FAULTS_IN_GROUP),
  );
  try {
    for (let staged = stages.next(); staged; staged = stages.next()) {
      const tasks: FaultsTask[] = [];
      for (let from = 0; from < staged.boards.length; from += FAULTS_IN_GROUP) {
        const boards = staged.boards.slice(from, from + FAULTS_IN_GROUP);
        tasks.push({ ...asked, known, staged: { ...staged, boards } });
      }
      await pool.run(tasks, ({ boards, signatures, left }) => {
        const own = readSignatures("task", signatures) ?? [];
        const found = boards.flatMap((board, place) => {
          const signature = own[place];
          return signature ? [[board, signature] as const] : [];
        });
        stages.take({ found: new Map(found), left });
        tell(stages.found.size, plan.boards.length);
      });
    }
  } finally {
    await pool.end();
  }
  return plan.all(stages.found);
}

function cacheFolder(): string {
  const base = process.env["XDG_CACHE_HOME"];
  return join(base !== undefined && base !== "" ? base : join(homedir(), ".cache"), "dotwright");
}

async function readKept(path: string, key: string): Promise<readonly Signature[] | undefined> {
  try {
    return readSignatures(key, await readFile(path, "utf8"));
  } catch {
    return undefined;
  }
}

/** Where nothing can be kept, the next run takes its time again. */
async function writeKept(path: string, text: string): Promise<void> {
  const part = `${path}.${process.pid}`;
  try {
    await mkdir(cacheFolder(), { recursive: true });
    await writeFile(part, text);
    await rename(part, path);
  } catch {
    return;
  }
}
