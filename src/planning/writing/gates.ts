import { HIGH, LOW, type WrittenChip, chip } from "./board.js";

/** One gate with the nets at its inputs and output. */
export interface Gate {
  readonly kind: "NOT" | "NAND" | "AND" | "OR" | "NOR" | "XOR";
  readonly inputs: readonly string[];
  readonly output: string;
  /** What it says, behind the line of its first input. */
  readonly remark?: string;
  /** Must be quicker than 74HC: of 74AHCT, two inputs at most. */
  readonly isQuick?: boolean;
}

/** A chip of equal gates. */
interface GateChip {
  readonly part: string;
  readonly kind: Gate["kind"];
  readonly width: number;
  readonly sections: number;
  readonly note: string;
}

/** In 74AHCT, in the same order. */
const QUICK_CHIPS: readonly GateChip[] = [
  { part: "74AHCT32", kind: "OR", width: 2, sections: 4, note: "quick ORs" },
  { part: "74AHCT08", kind: "AND", width: 2, sections: 4, note: "quick ANDs" },
  { part: "74AHCT02", kind: "NOR", width: 2, sections: 4, note: "quick NORs" },
  { part: "74AHCT00", kind: "NAND", width: 2, sections: 4, note: "quick NANDs" },
  { part: "74AHCT04", kind: "NOT", width: 1, sections: 6, note: "quick inverters" },
];

/** All that exist in 74HC, the widest first and last what can stand in anywhere. */
const CHIPS: readonly GateChip[] = [
  { part: "74HC30", kind: "NAND", width: 8, sections: 1, note: "NAND of eight" },
  { part: "74HC20", kind: "NAND", width: 4, sections: 2, note: "NANDs of four" },
  { part: "74HC21", kind: "AND", width: 4, sections: 2, note: "ANDs of four" },
  { part: "74HC10", kind: "NAND", width: 3, sections: 3, note: "NANDs of three" },
  { part: "74HC11", kind: "AND", width: 3, sections: 3, note: "ANDs of three" },
  { part: "74HC27", kind: "NOR", width: 3, sections: 3, note: "NORs of three" },
  { part: "74HC86", kind: "XOR", width: 2, sections: 4, note: "exclusive ORs" },
  { part: "74HC32", kind: "OR", width: 2, sections: 4, note: "ORs" },
  { part: "74HC08", kind: "AND", width: 2, sections: 4, note: "ANDs" },
  { part: "74HC02", kind: "NOR", width: 2, sections: 4, note: "NORs" },
  { part: "74HC00", kind: "NAND", width: 2, sections: 4, note: "NANDs" },
  { part: "74HC04", kind: "NOT", width: 1, sections: 6, note: "inverters" },
];

/** The most inputs of a gate of each kind. */
export const WIDEST: Readonly<Record<Gate["kind"], number>> = { NOT: 1, NAND: 8, AND: 4, OR: 2, NOR: 3, XOR: 2 };

interface Opened {
  readonly shape: GateChip;
  readonly gates: Gate[];
}

/** Gates with the same output are one; so gates that say the same and are named by what they say are shared. */
export function distinct(gates: readonly Gate[]): readonly Gate[] {
  return [...new Map(gates.map((gate) => [gate.output, gate])).values()];
}

/** How many chips gates take. */
export function chipsFor(gates: readonly Gate[]): number {
  return place(distinct(gates)).length;
}

/** Chips that hold these gates: as few as placing the rest of each kind in free sections of others gives. */
export function gateChips(gates: readonly Gate[]): readonly WrittenChip[] {
  return place(distinct(gates)).map(({ shape, gates: placed }) => writtenChip(shape, placed));
}

function place(gates: readonly Gate[]): readonly Opened[] {
  return [
    ...placeIn(
      QUICK_CHIPS,
      gates.filter(({ isQuick }) => isQuick),
    ),
    ...placeIn(
      CHIPS,
      gates.filter(({ isQuick }) => !isQuick),
    ),
  ];
}

function placeIn(chips: readonly GateChip[], gates: readonly Gate[]): readonly Opened[] {
  const opened: Opened[] = [];
  for (const shape of chips) {
    const mine = gates.filter((gate) => shapeOf(gate, chips) === shape);
    const over = mine.length % shape.sections;
    const rest = mine.slice(mine.length - over);
    for (let at = 0; at + shape.sections <= mine.length; at += shape.sections) {
      opened.push({ shape, gates: mine.slice(at, at + shape.sections) });
    }
    const free = opened.flatMap((one) =>
      canServe(one.shape, shape) ? Array<Opened>(one.shape.sections - one.gates.length).fill(one) : [],
    );
    if (rest.length > free.length) opened.push({ shape, gates: [...rest] });
    else rest.forEach((gate, index) => free[index]?.gates.push(gate));
  }
  return opened;
}

function shapeOf({ kind, inputs }: Gate, chips: readonly GateChip[]): GateChip {
  const fitting = chips.filter((shape) => shape.kind === kind && shape.width >= inputs.length);
  const narrowest = fitting.sort((a, b) => a.width - b.width)[0];
  if (!narrowest) throw new RangeError(`there is no ${kind} of ${inputs.length}`);
  return narrowest;
}

/** Whether a gate of the second kind may be made of a section of the first, its other inputs tied off. */
function canServe(host: GateChip, guest: GateChip): boolean {
  if (guest.kind === "NOT") return ["NAND", "NOR", "XOR"].includes(host.kind);
  return host.kind === guest.kind && host.width >= guest.width;
}

const LETTERS = "ABCDEFGH";

function writtenChip(shape: GateChip, gates: readonly Gate[]): WrittenChip {
  const pins: Record<string, string> = {};
  const remarks: Record<string, string> = {};
  for (let section = 0; section < shape.sections; section++) {
    const gate = gates[section];
    const prefix = shape.sections > 1 ? `${section + 1}` : "";
    const idle = gate && idleLevel(shape, gate);
    for (let input = 0; input < shape.width; input++) {
      pins[`${prefix}${LETTERS[input]}`] = gate ? (gate.inputs[input] ?? idle ?? HIGH) : LOW;
    }
    if (gate) pins[`${prefix}Y`] = gate.output;
    if (gate?.remark !== undefined) remarks[`${prefix}A`] = gate.remark;
  }
  return chip(shape.part, shape.note, pins, { remarks });
}

/** The level that leaves an unused input of a gate without a say. */
function idleLevel(shape: GateChip, gate: Gate): string {
  if (gate.kind === "NOT" && shape.kind === "XOR") return HIGH;
  return ["NOR", "OR"].includes(shape.kind) ? LOW : HIGH;
}
