import type { Progress } from "../judging/index.js";
import { whatIf } from "../planning/index.js";
import { findRaster } from "../raster/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitText } from "./circuit-file.js";
import type { Answer } from "./command.js";
import { whatIfData } from "./what-if-data.js";
import { whatIfText } from "./what-if-text.js";

/** Tries a board otherwise, one thing at a time, for as long as is allowed. */
export async function runWhatIf(file: string, seconds: number, progress: Progress): Promise<Answer> {
  const { text, ownParts } = await readCircuitText(file);
  const clock = () => performance.now();
  const deadline = clock() + 1000 * seconds;
  const found = await progress.during("trying it otherwise", (tell) => {
    let now: readonly [done: number, expected: number, what: string] = [0, 1, "the board as it is"];
    try {
      return whatIf(text, {
        file,
        reading: { findRaster, ...(ownParts && { ownParts }) },
        clock,
        onProof: (...proof) => {
          now = proof;
          tell(...now);
        },
        mayGoOn: () => {
          tell(...now);
          return clock() < deadline;
        },
      });
    } catch (error) {
      if (error instanceof RangeError) throw new BadInput(`${file}: ${error.message}`);
      throw error;
    }
  });
  return { exitCode: found.now.state === "holds" ? 0 : 1, text: whatIfText(found), json: whatIfData(found) };
}
