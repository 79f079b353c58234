import { answerPlan } from "./plan-worker.js";
import type { PlanAsk } from "./plan-protocol.js";
import type { TrialsAsk } from "./trials-protocol.js";
import { answerTrials } from "./trials-worker.js";

/** One script for all workers of these pages; what is asked tells which. */
self.addEventListener("message", ({ data }: MessageEvent<PlanAsk | TrialsAsk>) => {
  if ("file" in data) void answerTrials(data);
  else answerPlan(data);
});
