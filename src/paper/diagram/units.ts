import type { Chip } from "../../circuit/index.js";
import { type Behaviour, type Expression, type Output, type Storage, memoryPorts, namesIn } from "../../parts/index.js";
import { Groups } from "../groups.js";

/** A signal pin of a package. */
export interface UnitPin {
  readonly number: number;
  readonly name: string;
  readonly role: "input" | "output" | "in-out";
}

/** One of several alike parts of a unit, such as a flip-flop of an octal register: a cell of its own below what they share. */
export interface Cell {
  readonly left: readonly UnitPin[];
  readonly right: readonly UnitPin[];
}

/** What is drawn as one symbol: a chip, or one of its gates, flip-flops or halves that share no pin with the others. */
export interface Unit {
  readonly chip: Chip;
  /** From 1 where the chip has several units. */
  readonly index?: number;
  readonly count: number;
  /** Pins that belong to all cells, or every pin where there are no cells. */
  readonly common: Cell;
  readonly cells: readonly Cell[];
}

/** The units of a chip, in the order of their first pins in the behaviour. Every signal pin is in exactly one of them. */
export function unitsOf(chip: Chip): readonly Unit[] {
  const { behaviour } = chip.part;
  const pins = signalPins(chip);
  const groups = new Groups();
  for (const names of readTogether(behaviour)) for (const name of names) groups.join(names[0] ?? name, name);
  const joined = new Map<string, UnitPin[]>();
  for (const pin of pins) {
    const key = groups.of(pin.name);
    const members = joined.get(key);
    if (members) members.push(pin);
    else joined.set(key, [pin]);
  }
  // A unit that nothing comes out of is no unit: an input without a described use stands with the first one.
  const [first = [], ...others] = [...joined.values()].sort((a, b) => Number(!drives(a)) - Number(!drives(b)));
  const whole = [first, ...others.filter(drives)];
  for (const lone of others) if (!drives(lone)) first.push(...lone);
  return whole.map((members, i) => ({
    chip,
    ...(whole.length > 1 && { index: i + 1 }),
    count: whole.length,
    ...arranged(behaviour, members),
  }));
}

function drives(pins: readonly UnitPin[]): boolean {
  return pins.some(({ role }) => role !== "input");
}

/** In the order of the behaviour, which is that of meaning; packages order pins for the sake of the bond wires. */
function signalPins({ part }: Chip): UnitPin[] {
  const { behaviour } = part;
  const order = new Map(behaviour.pins.map(({ name }, i) => [name, i]));
  const roles = new Map(behaviour.pins.map(({ name, role }) => [name, role]));
  return part.package.pins
    .flatMap(({ number, name }): UnitPin[] => {
      const role = roles.get(name);
      return role === "input" || role === "output" || role === "in-out" ? [{ number, name, role }] : [];
    })
    .sort((a, b) => (order.get(a.name) ?? 0) - (order.get(b.name) ?? 0));
}

/** Lists of pins and storage bits that act on each other. */
function readTogether(behaviour: Behaviour): string[][] {
  const { storage, outputs, clockSource, master, undescribed, pins } = behaviour;
  if (master || undescribed.length > 0 || memoryPorts(behaviour).length > 0) return [pins.map(({ name }) => name)];
  return [
    ...storage.map((bit) => [bit.name, ...expressionsOf(bit).flatMap(namesIn)]),
    ...outputs.map((output) => [output.pin, ...namesOf(output)]),
    ...(clockSource ? [[clockSource.pin, ...(clockSource.enable ? namesIn(clockSource.enable) : [])]] : []),
  ];
}

function expressionsOf(bit: Storage): readonly Expression[] {
  const clock = bit.kind === "register" ? bit.clock : bit.open;
  return [clock, bit.next, ...bit.overrides.flatMap(({ when, value }) => [when, value])];
}

function namesOf({ value, enable }: Output): readonly string[] {
  return [...namesIn(value), ...(enable ? namesIn(enable) : [])];
}

function arranged(behaviour: Behaviour, pins: readonly UnitPin[]): Pick<Unit, "common" | "cells"> {
  const cells = cellsOf(behaviour, pins);
  if (cells.length < 2) return { common: sides(pins), cells: [] };
  const inCells = new Set(cells.flat());
  return { common: sides(pins.filter((pin) => !inCells.has(pin))), cells: cells.map(sides) };
}

/** Inputs to the left, outputs to the right; of two pins that work both ways the first one stands left. */
function sides(pins: readonly UnitPin[]): Cell {
  const bothWays = pins.filter(({ role }) => role === "in-out");
  const half = pins.every(({ role }) => role === "in-out") ? bothWays.slice(0, bothWays.length / 2) : [];
  const left = pins.filter((pin) => pin.role === "input" || half.includes(pin));
  return { left, right: pins.filter((pin) => !left.includes(pin)) };
}

/**
 * The pins of each cell: an output with the inputs that no other output looks at directly. Empty where the unit is not of that
 * kind, as a decoder, whose outputs share every input, or a shift register, most of whose bits do not come out.
 */
function cellsOf(behaviour: Behaviour, pins: readonly UnitPin[]): UnitPin[][] {
  const members = new Map(pins.map((pin) => [pin.name, pin]));
  const bits = new Map(behaviour.storage.map((bit) => [bit.name, bit]));
  const groups = new Groups();
  const readers = new Map<string, Set<string>>();
  for (const output of behaviour.outputs.filter(({ pin }) => members.has(pin))) {
    const names = namesOf(output);
    const shown = names.filter((name) => bits.has(name));
    // Of all bits together, as a carry is: nobody's own.
    if (new Set(shown).size > 1) continue;
    const bit = bits.get(shown[0] ?? "");
    const key = bit?.name ?? output.pin;
    groups.join(key, output.pin);
    for (const name of [...names, ...(bit ? expressionsOf(bit).flatMap(namesIn) : [])]) {
      if (!members.has(name)) continue;
      const keys = readers.get(name) ?? new Set();
      readers.set(name, keys.add(key));
    }
  }
  for (const [name, keys] of readers) for (const key of keys.size === 1 ? keys : []) groups.join(key, name);
  const cells = new Map<string, UnitPin[]>();
  for (const pin of pins) {
    const cell = cells.get(groups.of(pin.name));
    if (cell) cell.push(pin);
    else cells.set(groups.of(pin.name), [pin]);
  }
  const whole = [...cells.values()].filter((cell) => cell.length > 1 && drives(cell));
  const outputsInCells = whole.flat().filter(({ role }) => role !== "input").length;
  const outputs = pins.filter(({ role }) => role !== "input").length;
  return outputsInCells >= outputs / 2 ? whole : [];
}
