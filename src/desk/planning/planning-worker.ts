import { answerPlan } from "./plan-worker.js";
import type { PlanAsk } from "./plan-protocol.js";

/** One script for all workers of the kind; the page names the kind. */
self.addEventListener("message", ({ data }: MessageEvent<PlanAsk>) => answerPlan(data));
