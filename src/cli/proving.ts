import type { Circuit } from "../circuit/index.js";
import { findRaster, timeOfLines } from "../raster/index.js";
import { type FrameShape, type Proof, prove } from "../timing/index.js";
import type { Progress } from "./progress.js";

/** Proves a circuit and shows how far it has come, as a share of one frame where the raster is known. */
export async function proveShown(circuit: Circuit, progress: Progress): Promise<Proof> {
  const frame = frameOf(circuit);
  const expected = frameTicks(circuit, frame);
  return progress.during("proving", (tell) =>
    prove(circuit, {
      ...(frame && { frame }),
      onProgress(ticks) {
        tell(ticks, expected);
        return true;
      },
    }),
  );
}

/** The raster that the file names, as far as moments are told by it. */
function frameOf({ raster }: Circuit): FrameShape | undefined {
  const found = findRaster(raster);
  if (!found.found) return undefined;
  const { h, v } = found.raster;
  return { lineTime: timeOfLines(found.raster, 1), dots: h.total, lines: v.total };
}

/** Oscillator periods of a frame; 0 where they are not known. */
function frameTicks({ chips }: Circuit, frame: FrameShape | undefined): number {
  const period = chips.find(({ part }) => part.oscillation)?.part.oscillation?.period;
  return period && frame ? (2 * frame.lineTime * frame.lines) / (period.min + period.max) : 0;
}
