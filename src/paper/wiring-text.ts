import { type PartsLine, packageWords, refRanges } from "./parts-list.js";
import { cautions } from "./cautions.js";
import type { PinMap } from "./pin-map.js";
import { pinMapText } from "./pin-map-text.js";
import type { Terminal } from "./terminal.js";
import { pageWidth, textTable, wrapText } from "./text-table.js";
import type { Section, Step, WiringList } from "./wiring-list.js";

/** Parts list, wiring list and pin maps as text of 80 columns, to be printed and ticked off. */
export function wiringText(list: WiringList, parts: readonly PartsLine[], maps: readonly PinMap[]): string {
  return [
    heading(`${list.title}: what to wire`, "="),
    ...wrapText(
      `${wiringTotals(list)} Tick each box when the wire is in and you have read its numbers back.`,
      pageWidth,
    ),
    "",
    heading("Before you start", "-"),
    ...[...cautions, ...list.adapters].flatMap((caution) => wrapText(`- ${caution}`, pageWidth)),
    "",
    heading("Parts", "-"),
    partsText(parts),
    ...list.sections.map(sectionText),
    ...openText(list),
    ...toComeText(list),
    "",
    heading("Pin maps, seen from above", "-"),
    maps.map(pinMapText).join("\n"),
  ].join("\n");
}

/** `131 wires and 27 parts, in 158 steps.` */
export function wiringTotals({ wires, parts }: WiringList): string {
  return `${count(wires, "wire")} and ${count(parts, "resistor or capacitor", "resistors and capacitors")}, in ${count(wires + parts, "step")}.`;
}

export function count(number: number, one: string, many = `${one}s`): string {
  return `${number} ${number === 1 ? one : many}`;
}

/** A terminal in words: `U3 pin 14 QA`, `+5 V rail`, `connector`. */
export function terminalWords(terminal: Terminal): string {
  switch (terminal.kind) {
    case "pin":
      return `${terminal.chip} pin ${terminal.number} ${terminal.pin}`;
    case "rail":
      return terminal.name;
    case "outside":
      return `connector ${terminal.net}`;
    case "leg":
      return `${terminal.part}'s leg on ${terminal.net}`;
  }
}

function heading(text: string, rule: string): string {
  return `${text}\n${rule.repeat(Math.min(text.length, pageWidth))}`;
}

function partsText(parts: readonly PartsLine[]): string {
  const rows = parts.map((line) => [
    String(line.quantity),
    line.part,
    line.advised ? `${line.title}, advised` : line.title,
    refRanges(line.refs),
    packageWords(line),
  ]);
  return textTable(
    [
      { head: "Qty", align: "right" },
      { head: "Part", most: 16 },
      { head: "What it is", most: 24 },
      { head: "Which", most: 18 },
      { head: "Package", most: 10 },
    ],
    rows,
  );
}

function sectionText({ title, guidance, blocks }: Section): string {
  const body = blocks.map(({ heading: chip, steps }) => {
    const rows = steps.map((step) => [
      "[ ]",
      String(step.number),
      ...netCells(step),
      terminalWords(step.from),
      step.part === undefined ? terminalWords(step.to) : `${terminalWords(step.to)} (${step.part})`,
    ]);
    const columns = [
      { head: "" },
      { head: "No.", align: "right" as const },
      { head: "Net", most: 15 },
      { head: "" },
      { head: "From", most: 18 },
      { head: "To", most: 26 },
    ];
    return `\n${wrapText(chip, pageWidth).join("\n")}\n${textTable(columns, rows)}`;
  });
  return ["", heading(title, "-"), ...wrapText(guidance, pageWidth), ...body].join("\n");
}

/** A net's name, and which of its steps this is. */
function netCells({ net, ofNet }: Step): [string, string] {
  return [net, ofNet ? `${ofNet.index}/${ofNet.count}` : ""];
}

function openText({ open }: WiringList): string[] {
  if (open.length === 0) return [];
  const words = ({ chip, number, pin }: (typeof open)[number]) => `${chip} pin ${number} ${pin}`;
  const floating = open.filter(({ floats }) => floats).map(words);
  const warning = `These are inputs and will float: ${floating.join(", ")}. Tie them to a rail, unless their data sheet allows it.`;
  return [
    "",
    heading("Pins left open", "-"),
    ...wrapText(`${open.map(words).join(", ")}.`, pageWidth),
    ...(floating.length > 0 ? wrapText(warning, pageWidth) : []),
  ];
}

function toComeText({ toCome }: WiringList): string[] {
  if (toCome.length === 0) return [];
  const lines = toCome.flatMap(({ net, pins }) => {
    const waiting = pins.length > 0 ? pins.map(terminalWords).join(", ") : "no pin yet";
    return wrapText(`${net}: ${waiting}`, pageWidth);
  });
  return ["", heading("To come, not wired yet", "-"), ...lines];
}
