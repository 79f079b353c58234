import {
  EditPlan,
  type FaultBench,
  type KnownBench,
  type StagedBoards,
  faultBenchOf,
  keepSignatures,
  simulateStage,
} from "../bench/index.js";
import { readCircuitFile } from "./circuit-file.js";

/** What a thread is asked for: some boards with faults of a circuit file, by the positions of their faults. */
export interface FaultsTask {
  readonly file: string;
  readonly atRest: boolean;
  readonly writeEvery: number | undefined;
  readonly known: KnownBench;
  readonly staged: StagedBoards;
}

/** Which boards are done, their signatures as text, and which have to be simulated otherwise. */
export interface FaultsDone {
  readonly boards: readonly number[];
  readonly signatures: string;
  readonly left: readonly StagedBoards[];
}

let ready: { readonly of: string; readonly bench: Promise<FaultBench>; plan?: EditPlan } | undefined;

/** Simulates some faults; what the threads of `runFaults` call. The file is read once a thread and way of asking. */
export async function runFaultsTask({ file, known, atRest, writeEvery, staged }: FaultsTask): Promise<FaultsDone> {
  const options = { known, atRest, ...(writeEvery !== undefined && { writeEvery }) };
  const of = JSON.stringify([file, atRest, writeEvery]);
  if (ready?.of !== of) {
    ready = { of, bench: readCircuitFile(file).then(({ circuit }) => faultBenchOf(circuit, options)) };
  }
  const own = ready;
  const bench = await own.bench;
  own.plan ??= new EditPlan(
    bench,
    bench.faults.map(({ edit }) => edit),
  );
  const { found, left } = simulateStage(bench, own.plan, staged);
  return { boards: [...found.keys()], signatures: keepSignatures("task", [...found.values()]), left };
}
