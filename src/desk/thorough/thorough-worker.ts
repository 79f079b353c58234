import { settleExactly } from "../../exact/index.js";
import { judge } from "../../judging/index.js";
import { answer, latest, progressOf, read, tell } from "../answers/answering-worker.js";
import type { Ask } from "../protocol.js";
import { comparedHtml } from "./compared.js";

const thorough = { decide: settleExactly };

/** Answers as the desk's first worker does, decides what bounds leave open, and compares with another version. */
self.addEventListener("message", ({ data }: MessageEvent<Ask>) => {
  void (data.kind === "compare" ? compare(data) : answer(data, thorough));
});

/** Judges another version, and tells what moved from it to the one that was judged last. */
async function compare({ revision, file }: Extract<Ask, { kind: "compare" }>): Promise<void> {
  try {
    const { circuit, problems } = read(file);
    const now = latest();
    if (circuit && now) {
      const before = await judge(circuit, progressOf(revision), {}, thorough);
      tell({ kind: "compared", revision, html: comparedHtml(before, now, file.name) });
    } else {
      const line = problems.find(({ severity }) => severity === "error")?.line;
      const where = line === undefined ? "" : `: see its line ${line}`;
      const what = now ? `The other version has mistakes${where}.` : "The text has mistakes.";
      tell({ kind: "compared", revision, html: `<p>${what}</p>` });
    }
    tell({ kind: "done", revision });
  } catch (error) {
    tell({ kind: "failed", revision, what: error instanceof Error ? error.message : String(error) });
  }
}
