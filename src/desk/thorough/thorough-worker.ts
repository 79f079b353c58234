import { settleExactly } from "../../exact/index.js";
import { answer } from "../answers/answering-worker.js";
import type { Ask } from "../protocol.js";
import { comparedHtml } from "./compared.js";

/** Answers as the desk's first worker does, and decides what bounds leave open. */
self.addEventListener("message", ({ data }: MessageEvent<Ask>) => {
  void answer(data, { decide: settleExactly, compared: comparedHtml });
});
