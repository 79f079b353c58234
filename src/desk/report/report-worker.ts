import { ownPartsNamed, readCircuit, remarksOf } from "../../circuit/index.js";
import type { Progress } from "../../judging/index.js";
import { drawnAndPlanned, firstPicture } from "../../paper/book/work-out.js";
import { report } from "../../paper/index.js";
import { findRaster } from "../../raster/index.js";
import type { ReportAsk, ReportTold } from "./protocol.js";

function tell(told: ReportTold): void {
  self.postMessage(told);
}

const progress: Progress = {
  during: async (label, work) => {
    tell({ kind: "progress", label });
    return work(() => undefined);
  },
};

self.addEventListener("message", ({ data }: MessageEvent<ReportAsk>) => {
  void make(data).catch((error: unknown) => {
    tell({ kind: "failed", what: error instanceof Error ? error.message : String(error) });
  });
});

/** Works out what the answers do not have, and puts the whole book together. */
async function make({ file: { name, text, ownParts }, answered }: ReportAsk): Promise<void> {
  const named = ownPartsNamed(text) === undefined ? undefined : ownParts;
  const { circuit } = readCircuit(text, name, { findRaster, ...(named && { ownParts: named }) });
  if (!circuit) throw new Error("the file has mistakes");
  const drawn = await drawnAndPlanned(circuit, remarksOf(text), progress);
  const sample = await firstPicture(circuit, progress);
  tell({
    kind: "made",
    html: report({ ...answered, ...drawn, ...(sample && { sample }), circuit, file: name, madeBy: "dotwright" }),
  });
}
