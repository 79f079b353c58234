import { type PublishedRaster, inHertz, lineRate } from "../../raster/index.js";
import type { VideoOutput } from "../design.js";

/** Below this many lines a second it is a television's line rate. */
const TELEVISION_HERTZ = 17_000;

/** What a raster's picture leaves the board as; at a television's line rate on one wire where that is wished. */
export function outputOf(raster: PublishedRaster, isComposite: boolean): VideoOutput {
  if (inHertz(lineRate(raster)) >= TELEVISION_HERTZ) return { kind: "VGA" };
  return { kind: isComposite ? "composite 15 kHz" : "RGB 15 kHz" };
}
