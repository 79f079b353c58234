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

/** The chips of a family, and what fits where. */
interface Shelf {
  readonly chips: readonly GateChip[];
  /** For each chip those before it whose free sections can stand in for its own. */
  readonly hosts: readonly (readonly number[])[];
  /** The chip whose sections are as wide as a gate, or little wider. Throws RangeError where none is wide enough. */
  readonly narrowest: (gate: Gate) => number;
}

function shelf(chips: readonly GateChip[]): Shelf {
  const hosts = chips.map((guest, at) =>
    chips.flatMap((host, index) => (index < at && canServe(host, guest) ? [index] : [])),
  );
  const places = new Map<Gate["kind"], readonly number[]>();
  for (const { kind } of chips) {
    const ofKind = chips.flatMap((shape, index) => (shape.kind === kind ? [{ index, width: shape.width }] : []));
    const rising = ofKind.sort((a, b) => a.width - b.width);
    const widest = rising.at(-1)?.width ?? 0;
    // By the number of inputs, from 0 on.
    places.set(
      kind,
      Array.from({ length: widest + 1 }, (_, inputs) => rising.find(({ width }) => width >= inputs)?.index ?? 0),
    );
  }
  const narrowest = ({ kind, inputs }: Gate) => {
    const found = places.get(kind)?.[inputs.length];
    if (found === undefined) throw new RangeError(`there is no ${kind} of ${inputs.length}`);
    return found;
  };
  return { chips, hosts, narrowest };
}

const QUICK = shelf(QUICK_CHIPS);
const PLAIN = shelf(CHIPS);

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

/** How many chips gates of different outputs take, as `gateChips` places them. */
export function chipsFor(gates: readonly Gate[]): number {
  return countIn(QUICK, gates, true) + countIn(PLAIN, gates, false);
}

/** As `placeIn`, by numbers alone: of each shape one chip at most has free sections. */
function countIn({ chips, hosts, narrowest }: Shelf, gates: readonly Gate[], isQuick: boolean): number {
  const wanted = chips.map(() => 0);
  for (const gate of gates) {
    if ((gate.isQuick ?? false) !== isQuick) continue;
    const shape = narrowest(gate);
    wanted[shape] = (wanted[shape] ?? 0) + 1;
  }
  const free = chips.map(() => 0);
  let count = 0;
  chips.forEach(({ sections }, shape) => {
    const mine = wanted[shape] ?? 0;
    let rest = mine % sections;
    count += (mine - rest) / sections;
    const places = (hosts[shape] ?? []).reduce((sum, host) => sum + (free[host] ?? 0), 0);
    if (rest > places) {
      count++;
      free[shape] = sections - rest;
      return;
    }
    for (const host of hosts[shape] ?? []) {
      const taken = Math.min(rest, free[host] ?? 0);
      free[host] = (free[host] ?? 0) - taken;
      rest -= taken;
    }
  });
  return count;
}

/** Chips that hold these gates: as few as placing the rest of each kind in free sections of others gives. */
export function gateChips(gates: readonly Gate[]): readonly WrittenChip[] {
  return place(distinct(gates)).map(({ shape, gates: placed }) => writtenChip(shape, placed));
}

function place(gates: readonly Gate[]): readonly Opened[] {
  return [
    ...placeIn(
      QUICK,
      gates.filter(({ isQuick }) => isQuick),
    ),
    ...placeIn(
      PLAIN,
      gates.filter(({ isQuick }) => !isQuick),
    ),
  ];
}

function placeIn({ chips, narrowest }: Shelf, gates: readonly Gate[]): readonly Opened[] {
  const opened: Opened[] = [];
  for (const [index, shape] of chips.entries()) {
    const mine = gates.filter((gate) => narrowest(gate) === index);
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
