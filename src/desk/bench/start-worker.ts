import code from "worker:bench";

/** A page that was opened from a folder may load no worker, so its code is text of the page's script. */
export function startBenchWorker(name: "bench" | "faults"): Worker {
  const url = URL.createObjectURL(new Blob([code], { type: "text/javascript" }));
  const worker = new Worker(url, { name });
  URL.revokeObjectURL(url);
  return worker;
}
