import { type Markup, markup } from "./markup.js";
import { type PartsLine, packageWords, refRanges } from "./parts-list.js";
import type { PinMap } from "./pin-map.js";
import { drawPinMap } from "./pin-map-drawing.js";
import type { Terminal } from "./terminal.js";
import type { Section, Step, WiringList } from "./wiring-list.js";
import { terminalWords } from "./wiring-text.js";

/** The wiring list, a table a section, a box to tick for every step. */
export function wiringHtml(list: WiringList): Markup {
  return markup`${list.sections.map(sectionTable)}${openPins(list)}${toCome(list)}`;
}

function sectionTable({ title, guidance, blocks }: Section): Markup {
  const bodies = blocks.map(
    ({ heading, steps }) =>
      markup`<tbody>\n<tr><th colspan="7" scope="rowgroup" class="group">${heading}</th></tr>\n${steps.map(stepRow)}</tbody>\n`,
  );
  return markup`<h3>${title}</h3>
<p>${guidance}</p>
<table class="tight">
<thead><tr><th scope="col">done</th><th scope="col" class="number">no.</th><th scope="col">net</th><th scope="col" class="number">of net</th><th scope="col">from chip, pin</th><th scope="col">to chip, pin</th><th scope="col">through</th></tr></thead>
${bodies}</table>
`;
}

function stepRow({ number, net, ofNet, from, to, part }: Step): Markup {
  const index = ofNet && `${ofNet.index} of ${ofNet.count}`;
  const wire = [net, terminalWords(from), terminalWords(to)].join(", ");
  return markup`<tr><td><input type="checkbox" data-wire="${wire}" aria-label="step ${number} done"></td><td class="number">${number}</td><td class="mono">${net}</td><td class="number">${index}</td><td class="mono">${place(from)}</td><td class="mono">${place(to)}</td><td>${part ?? "wire"}</td></tr>\n`;
}

function place(terminal: Terminal): Markup {
  if (terminal.kind !== "pin") return markup`${terminalWords(terminal)}`;
  return markup`${terminal.chip} ${terminal.number} <span class="quiet">${terminal.pin}</span>`;
}

function openPins({ open }: WiringList): Markup | undefined {
  if (open.length === 0) return undefined;
  const rows = open.map(
    ({ chip, number, pin, floats }) =>
      markup`<tr><td class="mono">${chip} ${number} <span class="quiet">${pin}</span></td><td>${floats ? "an input, which floats: tie it to a rail unless its sheet allows this" : "an output"}</td></tr>\n`,
  );
  return markup`<h3>Pins left open</h3>
<table class="tight">
<thead><tr><th scope="col">chip, pin</th><th scope="col">what it is</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

function toCome({ toCome: nets }: WiringList): Markup | undefined {
  if (nets.length === 0) return undefined;
  const items = nets.map(({ net, pins }) => {
    const waiting = pins.length > 0 ? pins.map(terminalWords).join(", ") : "no pin yet";
    return markup`<li><span class="mono">${net}</span>: ${waiting}</li>\n`;
  });
  return markup`<h3>To come, not wired yet</h3>\n<ul>\n${items}</ul>\n`;
}

/** The parts to buy. */
export function partsTable(parts: readonly PartsLine[]): Markup {
  const rows = parts.map(
    (line) =>
      markup`<tr><td class="number">${line.quantity}</td><td class="mono keep">${line.part}</td><td>${line.title}${line.advised && ", advised"}</td><td class="mono">${refRanges(line.refs)}</td><td class="keep">${packageWords(line)}</td></tr>\n`,
  );
  return markup`<table>
<thead><tr><th scope="col" class="number">qty</th><th scope="col">part</th><th scope="col">what it is</th><th scope="col">which</th><th scope="col">package</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

/** Every chip from above. */
export function pinMapFigures(maps: readonly PinMap[]): Markup {
  const figures = maps.map((map) => {
    const note = map.note !== "" && markup`<br>${map.note}`;
    const place = map.isDual ? map.package : `${map.package}, on an adapter`;
    return markup`<figure>
<figcaption><span class="mono">${map.chip} ${map.part}</span>, ${place}${note}<br><span class="quiet small">Pins: ${map.source}</span></figcaption>
${drawPinMap(map).svg}</figure>
`;
  });
  return markup`<div class="pins">\n${figures}</div>\n`;
}
