import { busName } from "../bus-name.js";
import { textWidth } from "../text-width.js";
import { wrapText } from "../text-table.js";
import { netOf, runsOf } from "./buses.js";
import type { Item, ItemPin } from "./items.js";
import type { Port } from "./layered-layout.js";
import type { NetEnds } from "./net-ends.js";

export const netSize = 9.5;
export const smallSize = 8.5;
/** Where the name of a net begins, from the outline: behind the pin's number. */
export const numberZone = 22;
const passiveZone = 6;
const titleHeight = 15;
const noteLine = 11.5;
/** Letters on a line of a note. */
const leastNote = 14;

/** A pin whose line is drawn by itself. */
export interface SingleEnd {
  readonly kind: "single";
  readonly pin: ItemPin;
  readonly name: string;
  readonly reference: string;
  /** The line goes on from the frame's edge. */
  readonly isJoined: boolean;
}

/** Neighbouring pins on nets that count up or down, gathered into a bus. */
export interface BusEnd {
  readonly kind: "bus";
  readonly pins: readonly ItemPin[];
  readonly nets: readonly string[];
  /** `COL[0..3]`. */
  readonly name: string;
  readonly reference: string;
  readonly isJoined: boolean;
  /** Of the bus's line, from the upper edge of the outline. */
  readonly y: number;
  /** From the outline to the bar that gathers the pins. */
  readonly bar: number;
}

export type End = SingleEnd | BusEnd;

/** A symbol with all the text around it. Nothing else is drawn inside its rectangle. */
export interface Frame {
  readonly item: Item;
  readonly width: number;
  readonly height: number;
  /** Upper left corner of the outline inside the frame. */
  readonly outline: readonly [x: number, y: number];
  readonly title: string;
  readonly subtitle: string;
  readonly notes: readonly string[];
  readonly left: readonly End[];
  readonly right: readonly End[];
  /** Ids are the frame's key and the net's or bus's name. */
  readonly ports: readonly (Port & {
    readonly nets: readonly string[];
    readonly isBus: boolean;
    readonly drives: boolean;
  })[];
}

/** A symbol's frame on a sheet. */
export function frameOf(item: Item, sheet: number, ends: NetEnds): Frame {
  const endsOf = (side: "left" | "right") =>
    gathered(
      item.pins.filter((pin) => pin.side === side),
      item,
      sheet,
      ends,
    );
  const [left, right] = [endsOf("left"), endsOf("right")];
  const reach = (side: readonly End[]) => Math.ceil(Math.max(14, ...side.map((end) => lengthOf(end, item))));
  const subtitle = item.which === "" ? item.part : `${item.part}, ${item.which}`;
  const titleWidth = textWidth(`${item.ref}  `, 11, "mono") + textWidth(subtitle, smallSize, "sans");
  const overhang = Math.ceil((titleWidth + 4 - item.width) / 2);
  const [before, after] = [Math.max(reach(left), overhang), Math.max(reach(right), overhang)];
  const notes = item.note === "" ? [] : noteLines(item.note, before + item.width + after - 4);
  const noteWidth = Math.max(0, ...notes.map((line) => textWidth(line, smallSize, "sans")));
  const width = Math.max(before + item.width + after, Math.ceil(noteWidth));
  const top = titleHeight;
  const ports = ([left, right] as const).flatMap((side, i) =>
    side
      .filter(({ isJoined }) => isJoined)
      .map((end) => ({
        id: `${item.key} ${end.kind === "bus" ? `bus ${end.name} ${end.y}` : `${end.pin.number ?? end.pin.side}`}`,
        side: i === 0 ? ("left" as const) : ("right" as const),
        y: top + (end.kind === "bus" ? end.y : end.pin.y),
        nets: end.kind === "bus" ? end.nets : [end.name],
        isBus: end.kind === "bus",
        drives: (end.kind === "bus" ? end.pins : [end.pin]).some(({ use }) => use.kind === "net" && use.drives),
      })),
  );
  return {
    item,
    width,
    height: top + item.height + (notes.length > 0 ? 4 + notes.length * noteLine : 0) + 3,
    outline: [before, top],
    title: item.ref,
    subtitle,
    notes,
    left,
    right,
    ports,
  };
}

/** The note in lines that are no wider than the width, unless a single word is. */
function noteLines(note: string, width: number): string[] {
  let letters = Math.max(leastNote, Math.floor(width / (smallSize * 0.5)));
  const isTooWide = (lines: readonly string[]) => lines.some((line) => textWidth(line, smallSize, "sans") > width);
  while (letters > leastNote && isTooWide(wrapText(note, letters))) letters--;
  return wrapText(note, letters);
}

/** The pins of one side in their order, those on nets that count up or down taken together. */
function gathered(pins: readonly ItemPin[], item: Item, sheet: number, ends: NetEnds): End[] {
  return runsOf(pins).flatMap((run): End[] => {
    if (!run.every((pin) => ends.isInBus(pin))) return run.map((pin) => single(pin, sheet, ends));
    const nets = run.map(netOf);
    const names = run.map((pin) => textWidth(netOf(pin), netSize, "mono"));
    const middle = run[Math.floor((run.length - 1) / 2)];
    const references = new Set(
      run.map((pin) => ends.reference(netOf(pin), sheet, pin, false)).filter((words) => words !== ""),
    );
    return [
      {
        kind: "bus",
        pins: run,
        nets,
        name: busName(nets),
        reference: joinedReferences([...references]),
        isJoined: isBusJoined(nets, item, sheet, ends),
        y: middle?.y ?? 0,
        bar: numberZone + Math.max(...names) + 9,
      },
    ];
  });
}

/** `to 3`, `to 3, 5` and `to 5` in one: the longest says it, and different kinds stand side by side. */
function joinedReferences(references: readonly string[]): string {
  const kinds = new Map<string, Set<string>>();
  for (const words of references) {
    const [, kind = words, list = ""] = /^(to|from|with) ([\d, ]+)$/.exec(words) ?? [];
    const numbers = kinds.get(kind) ?? new Set();
    for (const number of list.split(", ")) if (number !== "") numbers.add(number);
    kinds.set(kind, numbers);
  }
  const both = kinds.get("with");
  if (both) {
    for (const kind of ["to", "from"]) for (const number of kinds.get(kind) ?? []) both.add(number);
    kinds.delete("to");
    kinds.delete("from");
  }
  return [...kinds]
    .filter(([kind]) => kind !== "here" || kinds.size === 1)
    .map(([kind, numbers]) =>
      [kind, [...numbers].sort((a, b) => Number(a) - Number(b)).join(", ")].filter((word) => word !== "").join(" "),
    )
    .join("; ");
}

/** Whether another bus of the sheet has some of these nets, and one of the two drives them. */
function isBusJoined(nets: readonly string[], item: Item, sheet: number, ends: NetEnds): boolean {
  const others = new Map<string, number>();
  let isDriven = false;
  for (const net of nets) {
    for (const end of ends.onSheet(net, sheet)) {
      if (!end.isInBus) continue;
      isDriven ||= end.drives;
      if (end.item !== item) others.set(end.item.key, (others.get(end.item.key) ?? 0) + 1);
    }
  }
  return isDriven && [...others.values()].some((count) => count > 2);
}

function single(pin: ItemPin, sheet: number, ends: NetEnds): SingleEnd {
  const { use } = pin;
  if (use.kind === "rail") return { kind: "single", pin, name: use.name, reference: "", isJoined: false };
  if (use.kind === "open") return { kind: "single", pin, name: "open", reference: "", isJoined: false };
  const isJoined = ends.isJoined(use.name, sheet);
  return { kind: "single", pin, name: use.name, reference: ends.reference(use.name, sheet, pin, isJoined), isJoined };
}

/** How far an end reaches from the outline. */
function lengthOf(end: End, item: Item): number {
  const reference = end.reference === "" ? 0 : textWidth(end.reference, smallSize, "sans") + 6;
  if (end.kind === "bus") return end.bar + 20 + textWidth(end.name, netSize, "mono") + reference + 4;
  return startOf(item) + textWidth(end.name, netSize, "mono") + reference + 5;
}

/** Where text beside a pin begins, from the outline. */
export function startOf({ passive }: Item): number {
  return passive ? passiveZone : numberZone;
}
