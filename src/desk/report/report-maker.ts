import { loadScript } from "../on-demand.js";
import type { DeskFile } from "../protocol.js";
import { startWorker } from "../start-worker.js";
import type { Answered, ReportAsk, ReportTold } from "./protocol.js";

/** What the script of the report leaves for the desk. */
export interface ReportScript {
  readonly dotwrightReport?: string;
}

/**
 * Has the report made by a worker of its own, whose script is loaded when a report is first asked for: the layout of its diagrams
 * is as large as all the rest of the desk.
 */
export async function makeReport(file: DeskFile, answered: Answered, tell: (label: string) => void): Promise<string> {
  tell("fetching what draws the diagrams");
  await loadScript("report.js");
  const worker = startWorker((globalThis as ReportScript).dotwrightReport ?? "", "report");
  try {
    return await new Promise((resolve, reject) => {
      worker.addEventListener("message", ({ data }: MessageEvent<ReportTold>) => {
        if (data.kind === "progress") tell(data.label);
        else if (data.kind === "made") resolve(data.html);
        else if (data.kind === "failed") reject(new Error(data.what));
      });
      worker.addEventListener("error", ({ message }) => reject(new Error(message)));
      worker.postMessage({ file, answered } satisfies ReportAsk);
    });
  } finally {
    worker.terminate();
  }
}
