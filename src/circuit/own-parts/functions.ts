import {
  type Definition,
  type OwnFunction,
  type Package,
  define,
  latch,
  namesIn,
  parseExpression,
  register,
} from "../../parts/index.js";
import type { FileContext } from "../file-context.js";
import { namesInValue } from "../net-names.js";
import { mapOf, take } from "../sections.js";
import type { Path, Value } from "../value.js";
import { OWN_LIMITS } from "./limits.js";
import { readMemoryArray } from "./memory-function.js";
import * as say from "./messages.js";
import { functionEntry, storage } from "./shape.js";
import { sourceOf } from "./source.js";

const looseStorage = storage.partial();

type Storage = NonNullable<Definition["storage"]>[number];

/** The pins of a function by the list that names them. */
interface Pins {
  readonly inputs: readonly string[];
  readonly outputs: readonly string[];
  readonly inOuts: readonly string[];
  readonly unconnected: readonly string[];
  /** False where a list has mistakes, so that names may be missing. */
  readonly isWhole: boolean;
}

/** What may still be spent on expressions. */
export interface LogicBudget {
  characters: number;
}

/**
 * Reads a function; undefined where it has mistakes, all of which are reported. `isWhole` is false where parts of it had
 * the wrong shape: then nothing is said of what seems to be missing.
 */
export function readFunction(
  number: string,
  entry: Value,
  isWhole: boolean,
  file: string,
  budget: LogicBudget,
  context: FileContext,
): OwnFunction | undefined {
  const path = ["functions", number];
  const map = mapOf(entry);
  const pins = readPins(map, isWhole, path, context);
  const bits = Object.entries(mapOf(map["storage"]));
  const wrongBits = bits.filter(([bit]) => !isBitName(bit, [...path, "storage", bit], pins, context));
  const readable = new Set([...pins.inputs, ...pins.inOuts, ...bits.map(([bit]) => bit)]);
  const expression = (text: string | undefined, at: Path) =>
    readExpression(text, at, pins.isWhole ? readable : undefined, budget, context);

  const storageBits = bits
    .slice(0, OWN_LIMITS.bits)
    .map(([bit, written]) => readBit(bit, written, isWhole, [...path, "storage", bit], expression, context));
  const words = map["memory"];
  const holdsWords = words !== undefined;
  const memory = holdsWords ? readMemoryArray(words, pins, [...path, "memory"], expression, context) : undefined;
  const needless = holdsWords ? (["storage", "drives"] as const).filter((key) => map[key] !== undefined) : [];
  for (const key of needless) context.complainOfKey([...path, key], say.notBeside(key));
  const shown = memory?.data ?? [];
  const silent = { ...pins, outputs: without(pins.outputs, shown), inOuts: without(pins.inOuts, shown) };
  const drives =
    needless.length > 0 || (holdsWords && !memory)
      ? undefined
      : readDrives(map["drives"], silent, [...path, "drives"], expression, context);
  const shape = readPackage(map["package"], pins, file, [...path, "package"], context);
  const title = take(functionEntry.shape.title, map["title"]);
  if (bits.length > OWN_LIMITS.bits) {
    context.complainOfKey([...path, "storage"], say.tooManyOf("storage bits", OWN_LIMITS.bits));
  }
  const isComplete =
    bits.length <= OWN_LIMITS.bits &&
    wrongBits.length === 0 &&
    storageBits.every((bit) => bit !== undefined) &&
    drives &&
    shape &&
    title !== undefined;
  if (!pins.isWhole || !isComplete) return undefined;
  const behaviour = define({
    function: number,
    title,
    inputs: pins.inputs.join(" "),
    outputs: pins.outputs.join(" "),
    inOuts: pins.inOuts.join(" "),
    unconnected: [...new Set(pins.unconnected)].join(" "),
    storage: storageBits,
    drives,
    ...(memory && { memory }),
  });
  return { behaviour, package: shape };
}

function without(pins: readonly string[], others: readonly string[]): readonly string[] {
  return pins.filter((pin) => !others.includes(pin));
}

function readPins(map: Readonly<Record<string, Value>>, hasShape: boolean, path: Path, context: FileContext): Pins {
  const seen = new Set<string>();
  let isWhole = hasShape;
  const list = (key: "inputs" | "outputs" | "in-outs" | "unconnected"): readonly string[] => {
    const at = [...path, key];
    const written = take(functionEntry.shape[key], map[key]);
    if (written === undefined) return [];
    const found = namesInValue(written, at, context);
    isWhole &&= found.isWhole;
    return found.names.flatMap(({ name, span }) => {
      const complaint = /^(VCC|GND)$/.test(name)
        ? say.supplyPinName(name)
        : !/^[A-Za-z0-9_][\w/<=>'#]*$/.test(name) || /^[01]$/.test(name) || name.length > 24
          ? say.badPinName(name)
          : seen.has(name)
            ? say.pinOfTwoLists(name)
            : undefined;
      seen.add(name);
      if (complaint === undefined) return [name];
      isWhole = false;
      context.report.add(span, complaint);
      return [];
    });
  };
  const pins = {
    inputs: list("inputs"),
    outputs: list("outputs"),
    inOuts: list("in-outs"),
    unconnected: list("unconnected"),
  };
  if (seen.size > OWN_LIMITS.pins) {
    isWhole = false;
    context.complainOfKey(path, say.tooManyPins(seen.size, OWN_LIMITS.pins));
  }
  return { ...pins, isWhole };
}

/** Whether a storage bit can have this name; complains where it cannot. */
function isBitName(bit: string, path: Path, { inputs, outputs, inOuts }: Pins, context: FileContext): boolean {
  const complaint = [...inputs, ...outputs, ...inOuts].includes(bit)
    ? say.bitIsPin(bit)
    : /^[a-z]\w{0,23}$/.test(bit)
      ? undefined
      : say.badBitName(bit);
  if (complaint) context.complainOfKey(path, complaint);
  return complaint === undefined;
}

type ReadExpression = (text: string | undefined, path: Path) => string | undefined;

/** The text of an expression that can be read and whose names are all known; undefined, and reported, otherwise. */
function readExpression(
  text: string | undefined,
  path: Path,
  readable: ReadonlySet<string> | undefined,
  budget: LogicBudget,
  context: FileContext,
): string | undefined {
  if (text === undefined) return undefined;
  if (text.length > OWN_LIMITS.expression) {
    return context.complain(path, say.longExpression(text.length, OWN_LIMITS.expression));
  }
  budget.characters -= text.length;
  if (budget.characters < 0) {
    if (budget.characters + text.length >= 0) context.complain(path, say.tooMuchLogic(OWN_LIMITS.logic));
    return undefined;
  }
  const inside = context.source.insideValue(path);
  try {
    const unknown = namesIn(parseExpression(text)).filter((name) => readable && !readable.has(name));
    for (const name of unknown) {
      const at = placeOfName(text, name);
      const names = [...(readable ?? [])];
      context.report.add(
        inside(at, at + name.length),
        say.unknownName(
          name,
          names,
          context.report.suggest(name, () => names),
        ),
      );
    }
    return unknown.length === 0 ? text : undefined;
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    const column = Number(/ at column (\d+) of /.exec(error.message)?.[1] ?? 1);
    context.report.add(inside(column - 1, Math.min(column, text.length)), say.badExpression(text, error.message));
    return undefined;
  }
}

/** Where a name stands in an expression by itself, not inside a longer name. */
function placeOfName(text: string, name: string): number {
  for (const match of text.matchAll(/[A-Za-z0-9_][\w/<=>'#]*/g)) if (match[0] === name) return match.index;
  return 0;
}

function readBit(
  bit: string,
  written: Value,
  isWhole: boolean,
  path: Path,
  expression: ReadExpression,
  context: FileContext,
): Storage | undefined {
  const entry = take(looseStorage, written) ?? {};
  const { clock, open, overrides = [] } = entry;
  if ((clock === undefined) === (open === undefined)) {
    if (isWhole) context.complainOfKey(path, say.clockOrOpen(bit));
    return undefined;
  }
  const when = expression(clock ?? open, [...path, clock === undefined ? "open" : "clock"]);
  const next = expression(entry.next, [...path, "next"]);
  const taken = overrides.map(({ when: level, value }, index) => {
    const at = [...path, "overrides", index];
    return [expression(level, [...at, "when"]), expression(value, [...at, "value"])] as const;
  });
  const whole = taken.flatMap(([level, value]) =>
    level === undefined || value === undefined ? [] : [[level, value] as const],
  );
  if (when === undefined || next === undefined || whole.length < taken.length) return undefined;
  return clock === undefined ? latch(bit, when, next, ...whole) : register(bit, when, next, ...whole);
}

function readDrives(
  written: Value | undefined,
  { outputs, inOuts, isWhole }: Pins,
  path: Path,
  expression: ReadExpression,
  context: FileContext,
): Definition["drives"] {
  const drivers = [...outputs, ...inOuts];
  const drives: (readonly [pin: string, drive: string | readonly [value: string, enable: string]])[] = [];
  let isRight = true;
  const entries = Object.entries(mapOf(written));
  for (const [pin, drive] of entries) {
    const at = [...path, pin];
    if (isWhole && !drivers.includes(pin)) {
      isRight = false;
      context.complainOfKey(
        at,
        say.noOutput(
          pin,
          drivers,
          context.report.suggest(pin, () => drivers),
        ),
      );
    }
    if (typeof drive === "string") {
      const value = expression(drive, at);
      if (value === undefined) isRight = false;
      else drives.push([pin, value]);
      continue;
    }
    const map = mapOf(drive);
    const [value, enable] = (["value", "enable"] as const).map((key) => {
      const text = map[key];
      return expression(typeof text === "string" ? text : undefined, [...at, key]);
    });
    if (value === undefined || enable === undefined) isRight = false;
    else drives.push([pin, [value, enable]]);
  }
  const named = new Set(entries.map(([pin]) => pin));
  const silent = drivers.filter((pin) => !named.has(pin));
  if (isWhole && silent.length > 0) {
    context.complainOfKey(written === undefined ? path.slice(0, -1) : path, say.notDriven(silent));
    return undefined;
  }
  return isRight ? Object.fromEntries(drives) : undefined;
}

function readPackage(
  written: Value | undefined,
  pins: Pins,
  file: string,
  path: Path,
  context: FileContext,
): Package | undefined {
  const map = mapOf(written);
  const { shape } = functionEntry.shape.package;
  const name = take(shape.name, map["name"]);
  const source = take(shape.source, map["source"]);
  if (name === undefined) return undefined;
  const count = Number(/^[A-Za-z][\w-]*?(\d+)$/.exec(name)?.[1] ?? 0);
  if (count < 2 || count > OWN_LIMITS.pins) return context.complain([...path, "name"], say.badPackage(name));
  const known = new Set([...pins.inputs, ...pins.outputs, ...pins.inOuts, ...pins.unconnected, "VCC", "GND"]);
  const found = new Map<number, string>();
  let isRight = true;
  const complain = (at: Path, complaint: ReturnType<typeof say.badPackage>, isOfKey = false) => {
    isRight = false;
    if (isOfKey) context.complainOfKey(at, complaint);
    else context.complain(at, complaint);
  };
  const list = take(shape.pins, map["pins"]) ?? {};
  for (const [number, pin] of Object.entries(list)) {
    const at = [...path, "pins", number];
    const isNumber = /^[1-9]\d?$/.test(number) && Number(number) <= count;
    if (!isNumber) complain(at, say.badPinNumber(number, count), true);
    else found.set(Number(number), pin);
    if (pins.isWhole && !known.has(pin)) {
      const names = [...known];
      complain(
        at,
        say.noSuchPin(
          pin,
          "the function",
          names,
          context.report.suggest(pin, () => names),
        ),
      );
    }
  }
  const numbers = Array.from({ length: count }, (_, index) => index + 1);
  const left = numbers.filter((number) => !found.has(number));
  if (left.length > 0) complain([...path, "pins"], say.numbersLeft(left.map(String)), true);
  const named = new Set(found.values());
  const without = [...known].filter((pin) => !named.has(pin));
  // After a wrong name or number, what is left over follows from it.
  if (pins.isWhole && without.length > 0 && isRight) complain([...path, "pins"], say.pinsLeft(without), true);
  if (!isRight || source === undefined) return undefined;
  const { publisher, document, title, url, fromMemory } = sourceOf(source);
  return {
    name,
    pins: numbers.map((number) => ({ number, name: found.get(number) ?? "" })),
    isDual: /^DIP/i.test(name),
    source: {
      publisher,
      document,
      ...(title !== undefined && { title }),
      ...(url !== undefined && { url }),
      fromMemory,
      ownFile: file,
    },
    checked: `as ${file} gives it`,
  };
}
