import {
  type Behaviour,
  type BusMaster,
  type Latch,
  type Memory,
  type Output,
  type Override,
  type Pin,
  type PinRole,
  type Register,
  type Storage,
  memoryPorts,
} from "../behaviour.js";
import { type Expression, namesIn, parseExpression } from "../expression.js";

/**
 * What a behaviour is written as. Pin lists are words: `CLK`, a range `1D..8D`, `A0..A14`, `QA..QD`, or pins under a group
 * of their own `DATA:A..D`, `SELECT:A,B`. A pin's group is otherwise its name without numbers: `1CLR#` is one of `CLR#`,
 * `Y7#` one of `Y#`. VCC and GND come by themselves. Names of storage bits begin with a small letter.
 */
export interface Definition {
  readonly function: string;
  readonly title: string;
  readonly inputs?: string;
  readonly outputs?: string;
  readonly inOuts?: string;
  readonly unconnected?: string;
  /** Outputs without a rule of what they drive. */
  readonly undescribed?: string;
  /**
   * Other makers' names to the names here: pins to pins (`1CP` to `1CLK`) and groups to groups (`CP` to `CLK`); ranges on
   * both sides stand for their members in order. An active-low name gets `/CLR` and `CLR` besides `CLR#`, where free.
   */
  readonly aliases?: Readonly<Record<string, string>>;
  readonly storage?: readonly Storage[];
  /** By output pin: an expression, or an expression and when it drives. */
  readonly drives?: Readonly<Record<string, string | readonly [value: string, enable: string]>>;
  readonly memory?: Memory;
  readonly otherPorts?: readonly Memory[];
  /** The pin of an oscillator's output. */
  readonly clockSource?: { readonly pin: string; readonly enable?: string };
  /** Of a processor: its outputs need no rules. */
  readonly master?: BusMaster;
}

/** Builds a checked behaviour. Throws TypeError when an expression reads or an output rule drives what is not there. */
export function define(definition: Definition): Behaviour {
  const undescribed = pinsOf(definition.undescribed, "output");
  const pins: readonly Pin[] = [
    ...pinsOf(definition.inputs, "input"),
    ...pinsOf(definition.outputs, "output"),
    ...pinsOf(definition.inOuts, "in-out"),
    ...undescribed,
    ...pinsOf(definition.unconnected, "unconnected"),
    { name: "GND", role: "ground", group: "GND" },
    { name: "VCC", role: "supply", group: "VCC" },
  ];
  const storage = definition.storage ?? [];
  const outputs = Object.entries(definition.drives ?? {}).map(([pin, drive]): Output => {
    if (typeof drive === "string") return { pin, value: parseExpression(drive) };
    return { pin, value: parseExpression(drive[0]), enable: parseExpression(drive[1]) };
  });
  const source = definition.clockSource;
  const behaviour: Behaviour = {
    function: definition.function,
    title: definition.title,
    pins,
    aliases: aliasesOf(definition.aliases ?? {}, pins),
    storage,
    outputs,
    ...(definition.memory && { memory: definition.memory }),
    ...(definition.otherPorts && { otherPorts: definition.otherPorts }),
    ...(source && {
      clockSource: { pin: source.pin, ...(source.enable !== undefined && { enable: parseExpression(source.enable) }) },
    }),
    ...(definition.master && { master: definition.master }),
    undescribed: undescribed.map(({ name }) => name),
  };
  checkNames(behaviour);
  return behaviour;
}

/** A register that takes `next` when `clock` rises; overrides are pairs of when and value, the first one strongest. */
export function register(name: string, clock: string, next: string, ...overrides: readonly OverrideText[]): Register {
  return {
    kind: "register",
    name,
    clock: parseExpression(clock),
    next: parseExpression(next),
    overrides: overrides.map(override),
  };
}

/** A latch that follows `next` while `open` is true. */
export function latch(name: string, open: string, next: string, ...overrides: readonly OverrideText[]): Latch {
  return {
    kind: "latch",
    name,
    open: parseExpression(open),
    next: parseExpression(next),
    overrides: overrides.map(override),
  };
}

type OverrideText = readonly [when: string, value: string];

function override([when, value]: OverrideText): Override {
  return { when: parseExpression(when), value: parseExpression(value) };
}

/** `make(from)` to `make(to)`. */
export function numbered<T>(from: number, to: number, make: (n: number) => T): readonly T[] {
  return Array.from({ length: to - from + 1 }, (_, i) => make(from + i));
}

/** The members of a range `1D..8D`, `A0..A14`, `QA..QD`; the word itself where it is none. */
export function expandRange(word: string): readonly string[] {
  const [first = "", last] = word.split("..");
  if (last === undefined) return [word];
  let start = 0;
  while (start < first.length && first[start] === last[start]) start++;
  if (/\d/.test(first[start] ?? "")) while (start > 0 && /\d/.test(first[start - 1] ?? "")) start--;
  let rest = 0;
  while (rest < Math.min(first.length, last.length) - start - 1 && first.at(-1 - rest) === last.at(-1 - rest)) rest++;
  const [head, tail] = [first.slice(0, start), first.slice(first.length - rest)];
  const [from, to] = [first.slice(start, first.length - rest), last.slice(start, last.length - rest)];
  if (/^\d+$/.test(from) && /^\d+$/.test(to)) return numbered(Number(from), Number(to), (n) => `${head}${n}${tail}`);
  return numbered(from.charCodeAt(0), to.charCodeAt(0), (code) => `${head}${String.fromCharCode(code)}${tail}`);
}

function pinsOf(list: string | undefined, role: PinRole): readonly Pin[] {
  return (list ?? "").split(" ").flatMap((word) => {
    if (word === "") return [];
    const [group, members] = word.includes(":") ? word.split(":") : [undefined, word];
    return (members ?? "")
      .split(",")
      .flatMap(expandRange)
      .map((name) => ({ name, role, group: group ?? withoutNumbers(name) }));
  });
}

/** `1CLR#` to `CLR#`, `Y7#` to `Y#`, `2A4` to `A`; `QH'` and `A>Bin` stay. */
function withoutNumbers(name: string): string {
  return name.replace(/^\d+/, "").replace(/\d+(#?)$/, "$1");
}

function aliasesOf(given: Readonly<Record<string, string>>, pins: readonly Pin[]): Readonly<Record<string, string>> {
  const own = new Set(pins.flatMap(({ name, group }) => [name, group]));
  const aliases = new Map<string, string>();
  for (const [theirs, ours] of Object.entries(given)) {
    const targets = expandRange(ours);
    expandRange(theirs).forEach((alias, i) => {
      const target = targets[i] ?? "";
      if (!own.has(target)) throw new TypeError(`alias ${alias} means ${target}, which is no pin and no group`);
      if (!own.has(alias)) aliases.set(alias, target);
    });
  }
  for (const [name, target] of [...[...own].map((name) => [name, name] as const), ...aliases]) {
    if (!name.endsWith("#")) continue;
    const bare = name.slice(0, -1);
    for (const spelling of [`/${bare}`, bare]) {
      if (!own.has(spelling) && !aliases.has(spelling)) aliases.set(spelling, target);
    }
  }
  return Object.fromEntries(aliases);
}

function checkNames(behaviour: Behaviour): void {
  const pins = new Map(behaviour.pins.map((pin) => [pin.name, pin]));
  const inputs = new Set(behaviour.pins.filter(({ role }) => role === "input" || role === "in-out").map((p) => p.name));
  const bits = new Set(behaviour.storage.map((bit) => bit.name));
  const fail = (what: string): never => {
    throw new TypeError(`behaviour ${behaviour.function}: ${what}`);
  };
  const check = (expression: Expression): void => {
    for (const name of namesIn(expression)) {
      if (!inputs.has(name) && !bits.has(name)) fail(`${name} is neither an input pin nor a storage bit`);
    }
  };
  for (const bit of behaviour.storage) {
    if (pins.has(bit.name)) fail(`${bit.name} names both a pin and a storage bit`);
    check(bit.next);
    check(bit.kind === "register" ? bit.clock : bit.open);
    for (const { when, value } of bit.overrides) [when, value].forEach(check);
  }
  for (const { value, enable } of behaviour.outputs) [value, ...(enable ? [enable] : [])].forEach(check);
  if (behaviour.clockSource?.enable) check(behaviour.clockSource.enable);
  for (const { address, read, write } of memoryPorts(behaviour)) {
    [read, ...(write ? [write] : [])].forEach(check);
    for (const name of address) if (!inputs.has(name)) fail(`address ${name} is no input pin`);
  }
  const driven = [
    ...behaviour.outputs.map(({ pin }) => pin),
    ...memoryPorts(behaviour).flatMap(({ data }) => data),
    ...(behaviour.clockSource ? [behaviour.clockSource.pin] : []),
  ];
  const drivers = behaviour.pins
    .filter(({ name, role }) => (role === "output" || role === "in-out") && !behaviour.undescribed.includes(name))
    .map((pin) => pin.name);
  for (const pin of behaviour.master ? [] : drivers) {
    if (driven.filter((name) => name === pin).length !== 1) fail(`output ${pin} needs exactly one rule`);
  }
  for (const pin of driven) if (!drivers.includes(pin)) fail(`${pin} is driven but is no output pin`);
}
