import { type Circuit, boardOscillators } from "../../circuit/index.js";
import { markup } from "../../paper/index.js";
import type { AnswerLine } from "../protocol.js";

/** Why isn't it working? Whether boards with faults can be simulated; the page itself comes when it is opened. */
export function benchPage(circuit: Circuit): { readonly lines: readonly AnswerLine[]; readonly html: string } {
  if (boardOscillators(circuit).length !== 1) {
    return { lines: [{ text: "Boards with faults are simulated with one oscillator only." }], html: "" };
  }
  const text = "Bring it up step by step; say what you see and measure, and the faults that explain it remain.";
  return { lines: [{ text }], html: markup`<div class="bench-place"></div>`.text };
}
