import {
  type Behaviour,
  type DelayRow,
  type FigureRow,
  type OwnFigures,
  type OwnFunction,
  type RequirementRow,
  arcsOf,
  behaviourOf,
  behaviours,
  families,
  logicNumbersOf,
  parseLogicNumber,
  pinMatcher,
  pinsNamed,
  plainNumber,
} from "../../parts/index.js";
import { type Range, parseFarads, parseVoltRange } from "../../quantity/index.js";
import type { FileContext } from "../file-context.js";
import { quantity } from "../header.js";
import { namesInValue } from "../net-names.js";
import { listOf, mapOf, take } from "../sections.js";
import type { Path, Value } from "../value.js";
import {
  DELAYS,
  MARGINS,
  MAXIMA,
  cellsOf,
  checkHeat,
  checkOrder,
  readClock,
  readColumns,
  readTime,
} from "./columns.js";
import { OWN_LIMITS } from "./limits.js";
import * as say from "./messages.js";
import { type DelayEntry, delay, figures, requirement } from "./shape.js";
import { sourceOf } from "./source.js";
import { checkSupplies } from "./supplies.js";

/** A part's figures, and where the file first speaks of the part. */
export interface ReadFigures extends OwnFigures {
  readonly at: Path;
}

/** The functions that the file's part numbers and organisations can mean. */
export interface Functions {
  readonly own: ReadonlyMap<string, OwnFunction>;
  /** Described in the file, but with mistakes. */
  readonly broken: ReadonlySet<string>;
}

/** Reads the rows of all parts; what is wrong in a row is reported and left out. */
export function readFigures(
  entries: readonly Value[],
  functions: Functions,
  isWhole: (index: number) => boolean,
  context: FileContext,
): readonly ReadFigures[] {
  const parts = new Map<string, ReadFigures & { readonly rows: FigureRow[]; readonly sources: SourceTable }>();
  const paths = new Map<DelayRow, Path>();
  entries.forEach((entry, index) => {
    const path = ["figures", index];
    const map = mapOf(entry);
    const named = readPart(map, functions, path, context);
    const rows = readRow(map, String(index), named, isWhole(index), path, paths, context);
    if (!named) return;
    const key = `${named.family} ${named.function}`;
    const part = parts.get(key) ?? newPart(named, path);
    parts.set(key, part);
    const source = take(figures.shape.source, map["source"]);
    if (source === undefined) return;
    const { publisher, document, title, url } = sourceOf(source);
    part.sources[String(index)] = {
      publisher,
      document,
      ...(title !== undefined && { title }),
      ...(url !== undefined && { url }),
    };
    part.rows.push(...rows);
  });
  for (const { rows, sources } of parts.values()) {
    const sheetOf = ({ source, table }: FigureRow) => JSON.stringify([sources[source], table]);
    checkSupplies(rows, sheetOf, (row) => paths.get(row), context);
  }
  return [...parts.values()];
}

const looseDelay = delay.partial();
const looseRequirement = requirement.partial();

type SourceTable = Record<string, OwnFigures["figures"]["sources"][string]>;

interface NamedPart {
  readonly part: string;
  readonly family: string;
  readonly function: string;
  readonly behaviour: Behaviour;
  readonly levels?: string;
}

function newPart({ part, family, function: fn, levels }: NamedPart, at: Path) {
  const rows: FigureRow[] = [];
  const sources: SourceTable = {};
  const like = levels === undefined ? {} : { levels };
  return { part, family, function: fn, ...like, at, rows, sources, figures: { family, sources, rows } };
}

const ANY_FAMILY = logicNumbersOf(["[A-Z]+?"]);

/** The part that a row is of: its family and function by its number, or by what the row says. */
function readPart(
  map: Readonly<Record<string, Value>>,
  { own, broken }: Functions,
  path: Path,
  context: FileContext,
): NamedPart | undefined {
  const part = take(figures.shape.part, map["part"])?.trim();
  const given = take(figures.shape.function, map["function"])?.trim();
  if (part === undefined) return undefined;
  if (part === "" || part.length > OWN_LIMITS.number) return context.complain([...path, "part"], say.emptyPart());
  const read = parseLogicNumber(part, ANY_FAMILY);
  const fn = given ?? read?.function;
  if (fn === undefined) return context.complain([...path, "part"], say.noFunction(part));
  if (given !== undefined && read && read.function !== given) {
    return context.complain([...path, "function"], say.otherFunction(part, read.function, given));
  }
  const behaviour = own.get(fn)?.behaviour ?? behaviourOf(fn);
  if (broken.has(fn)) return undefined;
  if (behaviour?.memory)
    return context.complain([...path, given === undefined ? "part" : "function"], say.memoryTimes(fn));
  if (!behaviour || behaviour.clockSource) {
    const known = [
      ...[...own].flatMap(([number, { behaviour: one }]) => (one.memory ? [] : [number])),
      ...behaviours.filter((one) => !one.memory && !one.clockSource).map((one) => one.function),
    ];
    const near = context.report.suggest(fn, () => known);
    return context.complain([...path, given === undefined ? "part" : "function"], say.unknownFunction(fn, near));
  }
  const levels = readLevelsOf(take(figures.shape.levels, map["levels"]), [...path, "levels"], context);
  const like = levels === undefined ? {} : { levels };
  return { part, family: read?.family ?? plainNumber(part), function: fn, behaviour, ...like };
}

/** `HCT` of `74HCT`: a family on record. */
function readLevelsOf(text: string | undefined, path: Path, context: FileContext): string | undefined {
  if (text === undefined) return undefined;
  const family = families.find((one) => `74${one}` === plainNumber(text));
  if (family !== undefined) return family;
  const known = families.map((one) => `74${one}`);
  return context.complain(
    path,
    say.unknownLevelsOf(
      text,
      known,
      context.report.suggest(text, () => known),
    ),
  );
}

/** The row of an entry; further rows where it states several clock frequencies, of which the catalogue's rows have one. */
function readRow(
  map: Readonly<Record<string, Value>>,
  source: string,
  named: NamedPart | undefined,
  isWhole: boolean,
  path: Path,
  paths: Map<DelayRow, Path>,
  context: FileContext,
): readonly FigureRow[] {
  const { shape } = figures;
  const supply = readSupply(take(shape.supply, map["supply"]), [...path, "supply"], context);
  const load = readLoad(take(shape.load, map["load"]), [...path, "load"], context);
  const written = take(shape.source, map["source"]);
  const note = take(shape.note, map["note"]);
  const delays = listOf(map["delays"]).flatMap((entry, index) => {
    const at = [...path, "delays", index];
    const row = readDelay(take(looseDelay, entry) ?? {}, named, isWhole, at, context);
    if (row) paths.set(row, at);
    return row ?? [];
  });
  const requirements = listOf(map["requirements"]).flatMap((entry, index) =>
    readRequirement(take(looseRequirement, entry) ?? {}, named, isWhole, [...path, "requirements", index], context),
  );
  if (!named || !supply || written === undefined) return [];
  const { table, fromMemory } = sourceOf(written, note);
  const row: FigureRow = {
    function: named.function,
    source,
    part: named.part,
    ...(table !== undefined && { table }),
    volts: supply.min,
    supply: [supply.min, supply.max],
    ...(load !== undefined && { load }),
    fromMemory,
    delays,
    requirements: requirements.flatMap((one) => ("kind" in one ? [one] : [])),
  };
  const clocks = requirements.flatMap((one) => ("kind" in one ? [] : [one]));
  return [row, ...clocks.map((maxClock) => ({ ...row, delays: [], requirements: [], maxClock }))];
}

/** Reads a supply, or complains. */
export function readSupply(text: string | undefined, path: Path, context: FileContext): Range | undefined {
  if (text === undefined) return undefined;
  const found = quantity(context, path, text, parseVoltRange);
  if (!found || (found.min > 0 && found.max <= 24)) return found;
  return context.complain(path, say.supplyOutOfReach(text));
}

/** Reads a load to pF, or complains. */
function readLoad(text: string | undefined, path: Path, context: FileContext): number | undefined {
  if (text === undefined) return undefined;
  const farads = quantity(context, path, text, parseFarads);
  if (farads === undefined) return undefined;
  const picofarads = Number((farads * 1e12).toPrecision(12));
  if (picofarads >= 1 && picofarads <= 1000) return picofarads;
  return context.complain(path, say.unlikely(path, text, "1 pF", "1 nF"));
}

type Loose<T> = { readonly [K in keyof T]?: T[K] | undefined };

function readDelay(
  entry: Loose<DelayEntry>,
  named: NamedPart | undefined,
  isWhole: boolean,
  path: Path,
  context: FileContext,
): DelayRow | undefined {
  const from = readPins(entry.from, "input", named, [...path, "from"], context);
  const to = readPins(entry.to, "output", named, [...path, "to"], context);
  const load = readLoad(entry.load, [...path, "load"], context);
  const column = (limit: "min" | "max", span: typeof DELAYS) =>
    readColumns(
      (key) => entry[key]?.[limit],
      (key) => [...path, key, limit],
      (text, at) => readTime(text, at, span, context),
    );
  const minima = column("min", DELAYS);
  const maxima = column("max", MAXIMA);
  const [typical] = readColumns(
    (key) => (key === "25 C" ? entry[key]?.typ : undefined),
    (key) => [...path, key, "typ"],
    (text, at) => readTime(text, at, MAXIMA, context),
  );
  checkOrder(minima, typical, maxima, context);
  checkHeat(maxima, "less", context);
  const statesMaximum = Object.values(entry).some((value) => typeof value === "object" && "max" in value);
  if (!statesMaximum && isWhole) context.complain(path, say.noMaximum());
  const changes = [...new Set((entry.changes ?? ["rise", "fall"]).flatMap((change) => MEANINGS[change] ?? [change]))];
  if (!from || !to || maxima.length === 0 || !named) return undefined;
  const row: DelayRow = {
    from,
    to,
    changes: changes as DelayRow["changes"],
    symbol: "",
    ...(entry.when !== undefined && { when: entry.when }),
    ...(load !== undefined && { load }),
    ...cellsOf("min", minima),
    ...(typical && { typ25: typical.value }),
    ...cellsOf("max", maxima),
    fromMemory: false,
  };
  checkIsAsked(row, named, path, context);
  return row;
}

const MEANINGS: Readonly<Record<string, readonly string[]>> = {
  enable: ["z-to-high", "z-to-low"],
  disable: ["high-to-z", "low-to-z"],
};

/** Doubts a delay that no change at the function's pins asks for. */
function checkIsAsked(
  { from, to, changes }: DelayRow,
  { part, behaviour }: NamedPart,
  path: Path,
  context: FileContext,
) {
  const means = pinMatcher(behaviour);
  const isAsked =
    from.includes("stage") ||
    arcsOf(behaviour).some(
      (arc) => arc.moves.some(({ change }) => changes.includes(change)) && means(from, arc.from) && means(to, arc.to),
    );
  if (!isAsked) context.complain([...path, "from"], say.nothingAsks(from.join(", "), to.join(", "), part));
}

type Clock = NonNullable<FigureRow["maxClock"]>;

function readRequirement(
  entry: Loose<typeof requirement._zod.output>,
  named: NamedPart | undefined,
  isWhole: boolean,
  path: Path,
  context: FileContext,
): readonly (RequirementRow | Clock)[] {
  const { kind } = entry;
  const pins = readPins(entry.pins, "input", named, [...path, "pins"], context);
  const reference = readPins(entry.reference, "input", named, [...path, "reference"], context);
  if (kind === undefined) return [];
  const isWindow = kind === "set-up" || kind === "hold" || kind === "recovery";
  if (isWindow && entry.reference === undefined && isWhole) context.complain(path, say.noReference(kind));
  if (!isWindow && entry.reference !== undefined) {
    context.complainOfKey([...path, "reference"], say.needlessReference(kind));
  }
  const isClock = kind === "clock frequency";
  const found = readColumns(
    (key) => entry[key],
    (key) => [...path, key],
    (text, at) => {
      if (isClock) return readClock(text, at, context);
      return readTime(text, at, isWindow ? MARGINS : MAXIMA, context);
    },
  );
  checkHeat(found, isClock ? "more" : "less", context);
  const isStated = found.length > 0 || ["25 C", "0 to 70 C", "-40 to 85 C", "-40 to 125 C"].some((key) => key in entry);
  if (!isStated && isWhole) context.complain(path, say.noColumn(kind));
  if (!pins || found.length === 0 || (isWindow && !reference)) return [];
  if (isClock) return [{ pins: [...pins], ...cellsOf("min", found) }];
  return [{ kind, pins: [...pins], reference: [...(reference ?? [])], ...cellsOf("min", found), fromMemory: false }];
}

/** Pins of the part, by the names of the function; undefined where one is wrong or none is given. */
function readPins(
  written: string | readonly string[] | undefined,
  role: "input" | "output",
  named: NamedPart | undefined,
  path: Path,
  context: FileContext,
): string[] | undefined {
  if (written === undefined) return undefined;
  const { names, isWhole } = namesInValue(written, path, context);
  if (!named) return undefined;
  const { behaviour, part } = named;
  const means = pinMatcher(behaviour);
  const fits = behaviour.pins.filter((pin) => pin.role === role || pin.role === "in-out").map((pin) => pin.name);
  let isRight = isWhole;
  const found = names.flatMap(({ name, span }): readonly string[] => {
    // From one stage of a ripple counter to the next.
    if (name === "stage") return [name];
    const direct = behaviour.pins.filter((pin) => means([name], pin.name)).map((pin) => pin.name);
    const meant = direct.length > 0 ? direct : pinsNamed(behaviour, name).map((pin) => pin.name);
    if (meant.some((pin) => fits.includes(pin))) return direct.length > 0 ? [name] : meant;
    isRight = false;
    const complaint =
      meant.length > 0
        ? say.wrongDirection(name, part, role, fits)
        : say.noSuchPin(
            name,
            part,
            fits,
            context.report.suggest(name, () => fits),
          );
    context.report.add(span, complaint);
    return [];
  });
  return isRight ? found : undefined;
}
