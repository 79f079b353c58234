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

let ready: { readonly file: string; readonly bench: Promise<FaultBench> } | undefined;

/** Simulates some faults; what the threads of `runFaults` call. The file is read once a thread. */
export async function runFaultsTask({ file, known, atRest, writeEvery, from, to }: FaultsTask): Promise<string> {
  const options = { known, atRest, ...(writeEvery !== undefined && { writeEvery }) };
  if (ready?.file !== file) {
    ready = { file, bench: readCircuitFile(file).then(({ circuit }) => faultBenchOf(circuit, options)) };
  }
  const bench = await ready.bench;
  const edits = bench.faults.slice(from, to).map(({ edit }) => edit);
  return keepSignatures("task", simulateEdits(bench, edits));
}
