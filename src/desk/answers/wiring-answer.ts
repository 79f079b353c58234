import type { Circuit } from "../../circuit/index.js";
import {
  cautionSentences,
  markup,
  partsList,
  partsTable,
  pinMapFigures,
  pinMaps,
  scrolling,
  wireAnswer,
  wiringHtml,
  wiringList,
} from "../../paper/index.js";
import type { AnswerLine } from "../protocol.js";

/** What do I wire? Cautions, parts, the wiring list with boxes to tick, pin maps. */
export function wiringPage(circuit: Circuit): { readonly lines: readonly AnswerLine[]; readonly html: string } {
  const list = wiringList(circuit);
  const html = markup`<ul>
${cautionSentences(circuit).map((sentence) => markup`<li>${sentence}</li>\n`)}</ul>
<p>Tick each box when the wire is in and you have read its numbers back. The ticks are remembered here.</p>
<p class="ticked" role="status"></p>
${scrolling("Tables of wires", wiringHtml(list))}
<h3>Parts</h3>
<div data-takeaway="parts">${scrolling("Table of parts", partsTable(partsList(circuit)))}</div>
<h3>Data-sheet pages</h3>
<p>${[...new Set(circuit.chips.map(({ part }) => part.number))].sort().map((number) => markup`<button type="button" data-part="${number}">${number}</button> `)}</p>
<div class="chosen" tabindex="-1" aria-live="polite"></div>
<h3>Pin maps</h3>
<p>Seen from above, the notch at the top.</p>
${pinMapFigures(pinMaps(circuit))}`;
  return { lines: [{ text: wireAnswer(list).answer }], html: html.text };
}
