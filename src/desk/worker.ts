import { answer } from "./answers/answering-worker.js";
import { runLive } from "./live/live-worker.js";
import type { LiveAsk } from "./live/protocol.js";
import type { Ask } from "./protocol.js";

/** One script for both kinds of workers, which share most of their code; the page names the kind. */
self.addEventListener("message", ({ data }: MessageEvent<Exclude<Ask, { kind: "compare" }> | LiveAsk>) => {
  if (self.name === "live") runLive(data as LiveAsk);
  else void answer(data as Exclude<Ask, { kind: "compare" }>);
});
