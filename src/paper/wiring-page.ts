import type { Circuit } from "../circuit/index.js";
import { adapterNotes } from "./adapters.js";
import { cautions } from "./cautions.js";
import { type Markup, markup } from "./markup.js";
import { page, scrolling, section } from "./page.js";
import { partsList } from "./parts-list.js";
import { pinMaps } from "./pin-map.js";
import { partsTable, pinMapFigures, wiringHtml } from "./wiring-html.js";
import { wiringList } from "./wiring-list.js";
import { wiringTotals } from "./wiring-text.js";

/** What to wire as a page to print: cautions, parts, the wiring list with boxes to tick, pin maps. */
export function wiringPage(circuit: Circuit, file: string): string {
  const list = wiringList(circuit);
  const body = markup`<main>
<header>
<div class="margin"></div>
<div class="content"><h1>${circuit.title}: what to wire</h1>
<p class="quiet">${file}. ${wiringTotals(list)}</p></div>
</header>
${cautionsSection(circuit)}${wiringSections(circuit)}</main>
`;
  return page(`${circuit.title}: what to wire`, body);
}

/** What can hurt people or things, and parts that need an adapter. */
export function cautionSentences(circuit: Circuit): readonly string[] {
  return [...cautions, ...adapterNotes(circuit)];
}

export function cautionsSection(circuit: Circuit): Markup {
  return section({
    id: "cautions",
    heading: "Before you start",
    content: markup`<ul>\n${cautionSentences(circuit).map((sentence) => markup`<li>${sentence}</li>\n`)}</ul>\n`,
  });
}

/** The sections that a page about wiring shares with the report. */
export function wiringSections(circuit: Circuit): Markup[] {
  return [
    section({
      id: "parts",
      heading: "Parts",
      newSheet: true,
      content: scrolling("Table of parts", partsTable(partsList(circuit))),
    }),
    section({
      id: "wiring",
      heading: "What do I wire?",
      notes: markup`<p>Tick each box when the wire is in and you have read its numbers back.</p><p>Pin numbers are those of the package, seen from above.</p>`,
      content: scrolling("Tables of wires", wiringHtml(wiringList(circuit))),
    }),
    section({
      id: "pins",
      heading: "Pin maps",
      notes: markup`<p>Seen from above, the notch at the top.</p>`,
      newSheet: true,
      content: pinMapFigures(pinMaps(circuit)),
    }),
  ];
}
