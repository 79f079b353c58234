import type { Circuit } from "../../circuit/index.js";
import type { BlockDrawing, PinSheet } from "../diagram/index.js";
import { supplyPins } from "../diagram/supply-pins.js";
import { type Markup, markup } from "../markup.js";
import { scrolling, section } from "../page.js";
import { refRanges } from "../parts-list.js";

/** A circuit's diagrams, drawn. */
export interface Diagrams {
  readonly blocks: BlockDrawing;
  readonly sheets: readonly PinSheet[];
}

/** How the symbols are to be read; they are those of IEC 60617-12 and IEEE Std 91-1984. */
const legend: readonly string[] = [
  "Symbols are those of IEC 60617-12 and IEEE Std 91-1984: & all inputs, ≥1 at least one, =1 one of two, 1 the input itself, " +
    "▷ driver, X/Y decoder, MUX, CTRDIV16 counter of 16 states, SRG8 shift register of 8, RAM, ROM, G oscillator.",
  "A circle at a pin: the low level is what the name inside speaks of. A wedge: a clock, by its edge. ▽ an output that can let go. " +
    "A loop of two steps: an input with a threshold each way.",
  "A block with a neck is shared by all the cells below it.",
  "Inside an outline stands the pin's name, outside its number and its net. A bar at the end of a line is a supply rail.",
  "“to 3” and “from 2” give the sheet on which the net goes on, “with” is said where several chips drive it, and “here” means " +
    "elsewhere on the same sheet.",
  "A heavy line is a bus; the stroke across it says of how many wires.",
];

export function diagramSections(circuit: Circuit, { blocks, sheets }: Diagrams): Markup[] {
  return [
    section({
      id: "blocks",
      heading: "Block diagram",
      notes: markup`<p>Names of nets stand where they begin. What goes to more than two blocks is told by its name alone.</p>`,
      across: true,
      content: markup`<figure>\n${scrolling("The blocks, drawn", blocks.svg)}</figure>\n`,
    }),
    section({
      id: "pin-diagram",
      heading: "Pin-level diagram",
      notes: markup`<p>Every signal pin of every chip, on ${sheets.length === 1 ? "one sheet" : `${sheets.length} sheets`}. How to read it stands behind the last.</p>`,
      across: true,
      content: sheets.map(
        ({ number, titles, svg }) =>
          markup`<figure class="sheet-figure">\n<h3>Sheet ${number} of ${sheets.length}: ${titles.join("; ")}</h3>\n${scrolling(`Sheet ${number}`, svg)}</figure>\n`,
      ),
    }),
    section({
      id: "reading-the-diagram",
      heading: "How to read the diagram",
      content: markup`<ul class="legend">\n${legend.map((line) => markup`<li>${line}</li>\n`)}</ul>\n`,
    }),
    section({
      id: "supply-pins",
      heading: "Pins that carry no signal",
      content: scrolling("Table of supply pins", supplyTable(circuit)),
    }),
  ];
}

function supplyTable(circuit: Circuit): Markup {
  const alike = new Map<string, string[]>();
  for (const { chip, pins } of supplyPins(circuit)) {
    const words = pins.map(
      ({ number, name, net }) => `${number} ${name} ${net === "not connected" ? net : `to ${net}`}`,
    );
    alike.set(words.join(", "), [...(alike.get(words.join(", ")) ?? []), chip]);
  }
  const rows = [...alike].map(
    ([pins, chips]) => markup`<tr><td>${pins}</td><td class="mono">${refRanges(chips)}</td></tr>\n`,
  );
  return markup`<table class="tight own">
<thead><tr><th scope="col">pins</th><th scope="col">of</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}
