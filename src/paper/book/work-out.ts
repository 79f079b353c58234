import { bringUpOf, faultBenchOf } from "../../bench/index.js";
import type { Circuit, Remarks } from "../../circuit/index.js";
import type { Progress } from "../../judging/index.js";
import { type NoMap, type Sample, sampleOf } from "../../loading/index.js";
import { TooMuchOpen } from "../../simulation/index.js";
import { blockDiagram, blocksOf, pinDiagram } from "../diagram/index.js";
import type { ReportInput } from "../report.js";

/** The diagrams, and the steps of bringing the board up: what the book has beside the answers. */
export async function drawnAndPlanned(
  circuit: Circuit,
  { about, headings }: Remarks,
  progress: Progress,
): Promise<Pick<ReportInput, "about" | "diagrams" | "bringUp">> {
  const diagrams = await progress.during("drawing the diagrams", async () => {
    const blocks = blocksOf(circuit, headings);
    return { blocks: await blockDiagram(circuit, blocks), sheets: await pinDiagram(circuit, blocks) };
  });
  const bringUp = await progress.during("working out the bring-up", () => bringUpSteps(circuit));
  return { about, diagrams, ...bringUp };
}

/** None of a board that cannot be simulated by itself, whose book has a shorter record. */
function bringUpSteps(circuit: Circuit): Pick<ReportInput, "bringUp"> {
  try {
    return { bringUp: bringUpOf(faultBenchOf(circuit, { atRest: true })) };
  } catch (error) {
    if (error instanceof RangeError) return {};
    throw error;
  }
}

/** What the memory holds for a first picture, or why that cannot be told; nothing of a board without a picture. */
export async function firstPicture(circuit: Circuit, progress: Progress): Promise<Sample | NoMap | undefined> {
  if (!circuit.picture) return undefined;
  return progress.during("finding which bit is which dot", async (tell) => {
    try {
      return await sampleOf(circuit, tell);
    } catch (error) {
      if (error instanceof TooMuchOpen || error instanceof RangeError) {
        return { problem: `It cannot be run without delays: ${error.message}.` };
      }
      throw error;
    }
  });
}
