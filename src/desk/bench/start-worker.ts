import code from "worker:bench";
import { startWorker } from "../start-worker.js";

export function startBenchWorker(name: "bench" | "faults"): Worker {
  return startWorker(code, name);
}
