import type { Circuit } from "../../circuit/index.js";
import type { Report } from "../../judging/index.js";
import {
  type FrameResult,
  type SeenWithoutDelays,
  simulateFrame,
  simulateWithoutDelays,
  TooMuchOpen,
} from "../../simulation/index.js";

/** What the monitor shows where all chips answer at once: a first answer, quickly. Undefined where that cannot be told. */
export function seenAtOnce(circuit: Circuit): SeenWithoutDelays | undefined {
  try {
    return simulateWithoutDelays(circuit);
  } catch (error) {
    if (error instanceof TooMuchOpen || error instanceof RangeError) return undefined;
    throw error;
  }
}

/** The same with typical delays: the test card that was found before is put into the one memory, else looked for again. */
export function seenWithDelays(circuit: Circuit, before: SeenWithoutDelays | undefined, report: Report): FrameResult {
  const [memory, another] = before?.memories ?? [];
  return simulateFrame(circuit, {
    ...(memory && !another && { memory: memory.contents }),
    onProgress: (_stage, done, total) => report(done, total),
  });
}
