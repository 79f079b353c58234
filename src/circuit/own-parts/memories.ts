import {
  type Behaviour,
  type MemoryRow,
  type MemorySymbol,
  behaviourOf,
  behaviours,
  memoriesNamed,
  memoryRows,
  plainNumber,
  timesOf,
} from "../../parts/index.js";
import { type Range, parseCelsiusRange } from "../../quantity/index.js";
import type { FileContext } from "../file-context.js";
import { quantity } from "../header.js";
import { mapOf, take } from "../sections.js";
import type { Path, Value } from "../value.js";
import { DELAYS, MARGINS, MAXIMA, readTime } from "./columns.js";
import { type Functions, readSupply } from "./figures.js";
import { OWN_LIMITS } from "./limits.js";
import * as say from "./messages.js";
import { memory } from "./shape.js";
import { sourceOf } from "./source.js";

/** A memory's row, and where the file speaks of it. */
export interface ReadMemory {
  readonly row: MemoryRow;
  readonly at: Path;
}

/** Pairs of times of which the first lies within the second. */
const within: readonly (readonly [lower: MemorySymbol, upper: MemorySymbol])[] = [
  ["tOH", "tAA"],
  ["tLZCE", "tACE"],
  ["tLZOE", "tOE"],
  ["tAA", "tRC"],
  ["tWP", "tWC"],
  ["tCW", "tWC"],
  ["tAW", "tWC"],
  ["tDW", "tWC"],
];

/** Times that a sheet may print as zero or below. */
const atMostZero: ReadonlySet<string> = new Set(["tOH", "tLZCE", "tLZOE", "tAS", "tDH", "tWR", "tOW"]);

/** Reads the memories; what is wrong in an entry is reported and left out. */
export function readMemories(
  entries: readonly Value[],
  functions: Functions,
  context: FileContext,
): readonly ReadMemory[] {
  const lines = new Map<string, number>();
  return entries.flatMap((entry, index) => {
    const path = ["memories", index];
    const map = mapOf(entry);
    const row = readMemory(map, functions, path, context);
    const part = take(memory.shape.part, map["part"]);
    if (part !== undefined) {
      const before = lines.get(plainNumber(part));
      if (before !== undefined) context.complain([...path, "part"], say.memoryTwice(part, before));
      else lines.set(plainNumber(part), context.report.place(context.source.valueAt([...path, "part"])).line);
    }
    return row ? [{ row, at: path }] : [];
  });
}

function readMemory(
  map: Readonly<Record<string, Value>>,
  functions: Functions,
  path: Path,
  context: FileContext,
): MemoryRow | undefined {
  const { shape } = memory;
  const part = take(shape.part, map["part"])?.trim();
  const isNumber = part !== undefined && part !== "" && part.length <= OWN_LIMITS.number;
  if (part !== undefined && !isNumber) context.complain([...path, "part"], say.emptyPart());
  const organised = readOrganisation(take(shape.organisation, map["organisation"]), functions, path, context);
  const grade = timeAt(take(shape.grade, map["grade"]), [...path, "grade"], MAXIMA, context);
  const supply = readSupply(take(shape.supply, map["supply"]), [...path, "supply"], context);
  const ambient = readAmbient(take(shape.ambient, map["ambient"]), [...path, "ambient"], context);
  const written = take(shape.source, map["source"]);
  const packageName = take(shape.package, map["package"]);
  const levels = readLevelsOf(take(shape.levels, map["levels"]), [...path, "levels"], context);
  const times = readTimes(map["times"], organised, [...path, "times"], context);
  if (!isNumber || !organised || grade === undefined || !supply || !ambient || written === undefined) return undefined;
  const { publisher, document, title, url, table, fromMemory } = sourceOf(written, take(shape.note, map["note"]));
  return {
    part,
    function: organised.function,
    grade,
    supply: [supply.min, supply.max],
    aliases: [],
    ambient: [ambient.min, ambient.max],
    packages: packageName === undefined ? [] : [packageName],
    ...(levels !== undefined && { levels }),
    fromMemory,
    times,
    notes: [],
    source: {
      publisher,
      document: [document, table].filter((text) => text !== undefined).join(", "),
      ...(title !== undefined && { title }),
      ...(url !== undefined && { url }),
    },
  };
}

/** The number of a memory on record. */
function readLevelsOf(text: string | undefined, path: Path, context: FileContext): string | undefined {
  if (text === undefined || memoriesNamed(text).length > 0) return text?.trim();
  const near = context.report.suggest(text, () => memoryRows.map(({ part }) => part));
  return context.complain(path, say.unknownLevelsOf(text, ["62256-70", "HM62256B-7", "27C256-70"], near));
}

function readOrganisation(
  text: string | undefined,
  { own, broken }: Functions,
  path: Path,
  context: FileContext,
): Behaviour | undefined {
  if (text === undefined) return undefined;
  const organisation = text.trim();
  if (broken.has(organisation)) return undefined;
  const behaviour = own.get(organisation)?.behaviour ?? behaviourOf(organisation);
  if (behaviour?.memory) return behaviour;
  const all = [...[...own.values()].map((one) => one.behaviour), ...behaviours];
  const known = all.filter((one) => one.memory).map((one) => one.function);
  const near = context.report.suggest(organisation, () => known);
  return context.complain([...path, "organisation"], say.unknownOrganisation(organisation, known, near));
}

function readAmbient(text: string | undefined, path: Path, context: FileContext): Range | undefined {
  return text === undefined ? { min: 0, max: 70 } : quantity(context, path, text, parseCelsiusRange);
}

function timeAt(text: string | undefined, path: Path, span: typeof MARGINS, context: FileContext): number | undefined {
  return text === undefined ? undefined : readTime(text, path, span, context);
}

/** The times by symbol, in ns. */
function readTimes(
  written: Value | undefined,
  behaviour: Behaviour | undefined,
  path: Path,
  context: FileContext,
): MemoryRow["times"] {
  const texts = mapOf(written);
  const asked: readonly string[] | undefined = behaviour && timesOf(behaviour);
  const times: { [S in MemorySymbol]?: number } = {};
  for (const [symbol, text] of Object.entries(texts)) {
    if (typeof text !== "string" || !isSymbol(symbol)) continue;
    const at = [...path, symbol];
    if (behaviour && asked && !asked.includes(symbol)) {
      const hasNone = symbol.endsWith("OE") ? say.noOutputEnable : say.notWritten;
      context.complainOfKey(at, hasNone(symbol, behaviour.function));
      continue;
    }
    const time = timeAt(text, at, atMostZero.has(symbol) ? MARGINS : DELAYS, context);
    if (time !== undefined) times[symbol] = time;
  }
  for (const [lower, upper] of within) {
    const [inner = -Infinity, outer = Infinity] = [times[lower], times[upper]];
    if (inner > outer) {
      context.complain([...path, lower], say.memoryOrder(lower, `${inner} ns`, upper, `${outer} ns`));
    }
  }
  return times;
}

function isSymbol(text: string): text is MemorySymbol {
  return Object.hasOwn(memory.shape.times.shape, text);
}
