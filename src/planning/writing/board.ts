import { behaviourOf, parseLogicNumber } from "../../parts/index.js";

/** Level of a pin that is tied off, and the word for one that is left open, as a circuit file has them. */
export const HIGH = "high";
export const LOW = "low";
export const OPEN = "open";

/** A chip as it is written down: every pin has a net. */
export interface WrittenChip {
  readonly part: string;
  /** What it does, in a few words. */
  readonly note: string;
  /** Net of each signal pin, in the order in which they are printed. */
  readonly pins: ReadonlyMap<string, string>;
  /** Said behind the line of a pin. */
  readonly remarks?: ReadonlyMap<string, string>;
  /** `X1` for an oscillator, else `U1`, `U2` ... */
  readonly kind?: "X" | "U";
}

/** Chips that do one thing together. */
export interface Block {
  readonly title: string;
  /** What the block does and why it is so, in sentences. */
  readonly about: string;
  readonly chips: readonly WrittenChip[];
}

/** A resistor or capacitor; refs are counted when it is written. */
export interface WrittenPassive {
  readonly kind: "R" | "C";
  readonly value: string;
  readonly tolerance?: string;
  readonly between: readonly [string, string];
  readonly note: string;
}

/** A signal from outside: names with ranges, and its timing as the circuit file has it. */
export interface WrittenInput {
  readonly nets: string;
  readonly timing: string;
  readonly about?: string;
}

/** A whole circuit before it is text. */
export interface WrittenBoard {
  /** Lines of the comment at the head of the file. */
  readonly head: readonly string[];
  readonly title: string;
  readonly build: string;
  readonly raster: string;
  readonly picture: readonly (readonly [key: string, value: string])[];
  readonly inputs: readonly WrittenInput[];
  readonly undrivenNs: number;
  readonly blocks: readonly Block[];
  readonly passives: readonly {
    readonly title: string;
    readonly about?: string;
    readonly parts: readonly WrittenPassive[];
  }[];
}

/** Pins of a chip as templates name them: single names or ranges on both sides, `Q[A..D]` to `COL[0..3]`. */
export type PinTable = Readonly<Record<string, string | readonly string[]>>;

/**
 * A chip with its unused pins tied off: inputs to low, outputs left open. Throws RangeError where the part has no such pin: a
 * mistake in the template, not in the design.
 */
export function chip(
  part: string,
  note: string,
  table: PinTable,
  more: { readonly remarks?: Readonly<Record<string, string>>; readonly kind?: "X" | "U" } = {},
): WrittenChip {
  const pins = new Map<string, string>();
  for (const [key, value] of Object.entries(table)) {
    const names = expand(key);
    const nets = typeof value === "string" ? expand(value) : value;
    if (nets.length !== 1 && nets.length !== names.length) {
      throw new RangeError(`${part}: ${key} are ${names.length} pins, ${nets.length} nets`);
    }
    names.forEach((name, index) => pins.set(name, nets[nets.length === 1 ? 0 : index] ?? OPEN));
  }
  tieOff(part, pins);
  const { remarks, kind } = more;
  return { part, note, pins, ...(remarks && { remarks: new Map(Object.entries(remarks)) }), ...(kind && { kind }) };
}

function tieOff(part: string, pins: Map<string, string>): void {
  const number = parseLogicNumber(part)?.function;
  const behaviour = number === undefined ? undefined : behaviourOf(number);
  // Memories and oscillators are written with all their pins by their templates.
  if (!behaviour) return;
  const known = new Set(behaviour.pins.map(({ name }) => name));
  for (const name of pins.keys()) if (!known.has(name)) throw new RangeError(`${part} has no pin ${name}`);
  for (const { name, role } of behaviour.pins) {
    if (pins.has(name)) continue;
    if (role === "input") pins.set(name, LOW);
    if (role === "output") pins.set(name, OPEN);
  }
}

/** Names with commas and one range each written out: `1A, Q[A..D]`; counts down as well. */
export function expand(text: string): string[] {
  return text.split(",").flatMap((piece) => {
    const name = piece.trim();
    const match = /^(.*)\[(\w+)\.\.(\w+)\](.*)$/.exec(name);
    if (!match) return [name];
    const [, before = "", first = "", last = "", behind = ""] = match;
    const isNumber = /^\d/.test(first);
    const place = (end: string) => (isNumber ? Number(end) : end.charCodeAt(0));
    const [from, to] = [place(first), place(last)];
    const step = from <= to ? 1 : -1;
    return Array.from({ length: Math.abs(to - from) + 1 }, (_, index) => {
      const at = from + step * index;
      return `${before}${isNumber ? at : String.fromCharCode(at)}${behind}`;
    });
  });
}

/** Names of a bus from the lowest bit: `bus("COL", 6)` is COL0 to COL5. */
export function bus(name: string, bits: number, from = 0): string[] {
  return Array.from({ length: bits }, (_, bit) => `${name}${from + bit}`);
}
