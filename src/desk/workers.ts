import code from "worker:desk";
import { startWorker } from "./start-worker.js";

export function answersWorker(): Worker {
  return startWorker(code, "answers");
}

export function liveWorker(): Worker {
  return startWorker(code, "live");
}
