import { behaviourOf } from "./behaviours/index.js";
import {
  type PartProblem,
  findPart,
  functionsOf,
  isPartProblem,
  madeBy,
  makerFor,
  memoryFamily,
  packageFor,
} from "./catalogue.js";
import type { Conditions } from "./conditions.js";
import { type FamilyFigures, families, familyFigures } from "./figure-rows.js";
import { type Figures, type Missing, type Source, isMissing } from "./figures.js";
import { SUM_OF_WIDTHS, logicFigures } from "./logic-figures.js";
import { memoryFigures } from "./memory-figures.js";
import { nearestNames } from "./nearest-names.js";
import { MEASURED, type OwnFigures, type OwnParts, RECALLED } from "./own-parts.js";
import { packageOf } from "./package.js";
import type { Part } from "./part.js";
import { type LogicNumber, logicNumbersOf, parseLogicNumber, plainNumber, withoutPackage } from "./part-number.js";
import { remembered } from "./remembered.js";

/**
 * The catalogue with a builder's own parts. An own figure counts before those on record, whatever these say; what the
 * builder does not state is taken from them, where the part is on record too.
 */
export function findPartWith(own: OwnParts): (number: string, conditions: Conditions) => Part | PartProblem {
  const numbers = logicNumbersOf([...families, ...own.logic.map(({ family }) => family).filter(isLetters)]);
  const names = ownNumbers(own);
  return (number, conditions) => {
    const part = ownMemory(own, number, conditions) ?? ownLogic(own, numbers, number, conditions);
    if (part) return part;
    const found = findPart(number, conditions);
    if (!isPartProblem(found)) return found;
    return { ...found, suggestions: [...new Set([...nearestNames(number, names), ...found.suggestions])] };
  };
}

/** The part numbers for which the builder states figures, each once. */
export function ownNumbers({ logic, memories }: OwnParts): readonly string[] {
  return [...new Set([...logic, ...memories].map(({ part }) => part))];
}

/** What the builder alone states of a logic part or memory, without what is on record; undefined for other parts. */
export function ownFiguresOf(
  own: OwnParts,
  { number, family, behaviour }: Part,
  conditions: Conditions,
): Figures | undefined {
  const rows = ownMemoryRows(own, number);
  if (rows.length > 0) return memoryFigures(number, behaviour, rows, conditions);
  const entry = own.logic.find((one) => one.function === behaviour.function && one.family === family);
  return entry && logicFigures(behaviour, entry.figures, conditions, undefined, entry.part);
}

function ownLogic(own: OwnParts, numbers: RegExp, number: string, conditions: Conditions): Part | undefined {
  const read = parseLogicNumber(number, numbers);
  const entry = own.logic.find((one) => isNamed(one, number, read));
  const family = entry?.family ?? read?.family;
  const fn = entry?.function ?? read?.function;
  if (family === undefined || fn === undefined) return undefined;
  const ownFunction = own.functions.get(fn);
  if (!entry && !ownFunction) return undefined;
  const behaviour = ownFunction?.behaviour ?? behaviourOf(fn);
  if (behaviour === undefined) return undefined;

  const maker = makerFor(number, conditions);
  const known = ownFunction ? undefined : findPart(number, conditions);
  const onRecord = known && !isPartProblem(known) ? known : undefined;
  const isOfRecord = onRecord === undefined && ownFunction && families.includes(family);
  const others =
    onRecord?.figures ??
    (isOfRecord ? logicFigures(behaviour, familyFigures(family), conditions, maker, number) : undefined);
  const shape = ownFunction?.package ?? onRecord?.package ?? packageOf(fn);
  if (shape === undefined) return undefined;
  const table = entry ? ofMaker(entry.figures, maker) : { family, sources: {}, rows: [] };
  const stated = markedAsOwn(logicFigures(behaviour, table, conditions, undefined, entry?.part ?? number), own.file);
  const levels = entry?.levels === undefined ? {} : { levelsAs: entry.levels };
  return {
    number,
    family,
    ...levels,
    behaviour,
    package: shape,
    figures: others ? preferring(stated, others) : stated,
  };
}

function ownMemory(own: OwnParts, number: string, conditions: Conditions): Part | undefined {
  const maker = makerFor(number, conditions);
  const rows = ownMemoryRows(own, number).filter(({ source }) => isAllowed(source.publisher, maker));
  const [first] = rows;
  if (!first) return undefined;
  const ownFunction = own.functions.get(first.function);
  const behaviour = ownFunction?.behaviour ?? behaviourOf(first.function);
  const shape = ownFunction?.package ?? packageOf(first.function);
  if (!behaviour || !shape) return undefined;
  const found = findPart(number, conditions);
  const isRecorded = !ownFunction && !isPartProblem(found) && found.behaviour.function === first.function;
  const stated = markedAsOwn(memoryFigures(number, behaviour, rows, conditions), own.file);
  return {
    number,
    family: memoryFamily(behaviour),
    ...(first.levels !== undefined && { levelsAs: first.levels }),
    behaviour,
    package: first.packages.length > 0 ? packageFor(shape, rows) : shape,
    figures: isRecorded ? preferring(stated, found.figures) : stated,
  };
}

function ownMemoryRows(own: OwnParts, number: string) {
  const wanted = [plainNumber(number), withoutPackage(number)];
  return own.memories.filter((row) => wanted.includes(plainNumber(row.part)));
}

/** Whether a circuit's part number means an entry of the file: the same number, or the same family and function. */
function isNamed({ part, family, function: fn }: OwnFigures, number: string, read: LogicNumber | undefined): boolean {
  return plainNumber(part) === plainNumber(number) || (read?.family === family && read.function === fn);
}

function isLetters(family: string): boolean {
  return /^[A-Z]+$/.test(family);
}

/** Where a circuit names a maker, its sheets count and what the builder has measured or recalled, no other maker's. */
function ofMaker(table: FamilyFigures, maker: string | undefined): FamilyFigures {
  if (maker === undefined) return table;
  return {
    ...table,
    rows: table.rows.filter(({ source }) => isAllowed(table.sources[source]?.publisher ?? "", maker)),
  };
}

function isAllowed(publisher: string, maker: string | undefined): boolean {
  return maker === undefined || publisher === MEASURED || publisher === RECALLED || madeBy(maker, [publisher]);
}

/** The first figures, and where they lack one, the second. */
function preferring(first: Figures, second: Figures): Figures {
  const either = <F extends object>(figure: F | Missing, other: () => F | Missing) =>
    isMissing(figure) ? other() : figure;
  return {
    delay: (...arc) => either(first.delay(...arc), () => second.delay(...arc)),
    window: (...asked) => either(first.window(...asked), () => second.window(...asked)),
    width: (...asked) => either(first.width(...asked), () => second.width(...asked)),
    recovery: (...asked) => either(first.recovery(...asked), () => second.recovery(...asked)),
    period(pin) {
      const figure = first.period(pin);
      const other = second.period(pin);
      if (isMissing(figure)) return other;
      // Two least widths are no clock frequency: a printed one counts before them.
      const isSum = figure.symbol === SUM_OF_WIDTHS;
      return isSum && !isMissing(other) && other.symbol !== SUM_OF_WIDTHS ? other : figure;
    },
    memory: (symbol) => either(first.memory(symbol), () => second.memory(symbol)),
  };
}

/** The same figures, each with the builder's file in its source. */
function markedAsOwn(figures: Figures, file: string): Figures {
  const own = (source: Source): Source => ({
    ...source,
    ownFile: file,
    ...(source.publisher === MEASURED && { measured: true }),
  });
  const marked = <F extends { readonly source: Source; readonly minimumSource?: Source }>(figure: F | Missing) =>
    isMissing(figure)
      ? figure
      : {
          ...figure,
          source: own(figure.source),
          ...(figure.minimumSource && { minimumSource: own(figure.minimumSource) }),
        };
  return {
    delay: remembered((...arc) => marked(figures.delay(...arc))),
    window: remembered((...asked) => marked(figures.window(...asked))),
    width: remembered((...asked) => marked(figures.width(...asked))),
    recovery: remembered((...asked) => marked(figures.recovery(...asked))),
    period: remembered((pin) => marked(figures.period(pin))),
    memory: remembered((symbol) => marked(figures.memory(symbol))),
  };
}

/** Whether the project's own data have figures for a part, for which an own file then need not state everything. */
export function isOnRecord(family: string, fn: string): boolean {
  return families.includes(family) && functionsOf(family).includes(fn);
}
