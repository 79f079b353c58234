import { type FaultBench, type KnownBench, faultBenchOf, keepSignatures, simulateEdits } from "../bench/index.js";
import { readCircuitFile } from "./circuit-file.js";

/** What a thread is asked for: some of the faults of a circuit file, by their position. */
export interface FaultsTask {
  readonly file: string;
  readonly atRest: boolean;
  readonly writeEvery: number | undefined;
  readonly known: KnownBench;
  readonly from: number;
  readonly to: number;
}

let ready: { readonly of: string; readonly bench: Promise<FaultBench> } | undefined;

/** Simulates some faults; what the threads of `runFaults` call. The file is read once a thread and way of asking. */
export async function runFaultsTask({ file, known, atRest, writeEvery, from, to }: FaultsTask): Promise<string> {
  const options = { known, atRest, ...(writeEvery !== undefined && { writeEvery }) };
  const of = JSON.stringify([file, atRest, writeEvery]);
  if (ready?.of !== of) {
    ready = { of, bench: readCircuitFile(file).then(({ circuit }) => faultBenchOf(circuit, options)) };
  }
  const bench = await ready.bench;
  const edits = bench.faults.slice(from, to).map(({ edit }) => edit);
  return keepSignatures("task", simulateEdits(bench, edits));
}
