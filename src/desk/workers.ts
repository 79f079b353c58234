import code from "worker:desk";
import { startWorker } from "./start-worker.js";

/** A worker of one of two kinds, from the code that the script carries or from other code for the same. */
export function deskWorker(name: "answers" | "live", other?: string): Worker {
  // The code stands at one place: a bundler may put it wherever it is named.
  return startWorker(other ?? code, name);
}
