import { askBench } from "./bench-worker.js";
import { askFaults } from "./faults-worker.js";
import type { BenchAsk, FaultsAsk } from "./protocol.js";

/** One script for the one that weighs and for those that simulate; the page names the kind. */
self.addEventListener("message", ({ data }: MessageEvent<BenchAsk | FaultsAsk>) => {
  if (self.name === "faults") askFaults(data as FaultsAsk);
  else void askBench(data as BenchAsk);
});
