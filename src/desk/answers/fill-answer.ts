import type { Circuit } from "../../circuit/index.js";
import { markup } from "../../paper/index.js";
import type { AnswerLine } from "../protocol.js";

/** How do I fill it? What there is to fill; the page itself comes when it is opened. */
export function fillPage(circuit: Circuit): { readonly lines: readonly AnswerLine[]; readonly html: string } {
  const memories = circuit.chips.filter(({ part }) => part.behaviour.memory?.write);
  if (!circuit.picture) return { lines: [{ text: "The file names no picture." }], html: "" };
  const [memory] = memories;
  if (!memory) return { lines: [{ text: "There is no memory that can be written." }], html: "" };
  const words = 2 ** (memory.part.behaviour.memory?.address.length ?? 0);
  const text = `With pictures and text: ${memory.ref} holds ${words.toLocaleString("en")} bytes.`;
  return { lines: [{ text }], html: markup`<div class="fill-place"></div>`.text };
}
