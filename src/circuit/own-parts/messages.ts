import type { Path } from "../value.js";
import { error, list, name, oneLine, plural, quote, warning, where } from "../wording.js";

/** The wording of every mistake in an own parts file that is none of structure, YAML or quantities alone. */

export const tooManyOf = (what: string, most: number) =>
  error("too-many", `there are more than ${most.toLocaleString("en")} ${what}`, {
    expected: "the parts of one drawer",
  });

// Functions

export const badPinName = (text: string) =>
  error("bad-name", `${quote(text)} is no name for a pin`, {
    expected: "letters, digits and _, then also / < = > ' and #, as sheets print them",
  });

export const supplyPinName = (text: string) =>
  error("bad-name", `${name(text)} is a supply pin and comes by itself`, {
    expected: "its number under 'package' only",
  });

export const pinOfTwoLists = (pin: string) => error("pin-twice", `pin ${name(pin)} is given twice`);

export const tooManyPins = (count: number, most: number) =>
  error("too-many", `the function has ${plural(count, "pin")}`, { expected: `at most ${most}` });

export const badBitName = (text: string) =>
  error("bad-name", `${quote(text)} is no name for a storage bit`, {
    expected: "letters and digits, beginning with a small letter",
  });

export const bitIsPin = (text: string) =>
  error("bad-name", `${name(text)} names both a pin and a storage bit`, { expected: "two names" });

export const clockOrOpen = (bit: string) =>
  error("storage", `storage bit ${name(bit)} needs either a clock or an open`, {
    expected: "'clock' for a register, 'open' for a latch",
  });

export const longExpression = (length: number, most: number) =>
  error("expression", `the expression has ${length.toLocaleString("en")} characters`, { expected: `at most ${most}` });

export const tooMuchLogic = (most: number) =>
  error("too-many", `the expressions of the file have more than ${most.toLocaleString("en")} characters`);

export function badExpression(text: string, parserWords: string) {
  const expected = /^expected (.*) at column \d+ of /.exec(oneLine(parserWords))?.[1];
  return error("expression", `${quote(text)} is no expression`, {
    expected: expected === undefined ? "its end here" : `${expected} here`,
  });
}

export const unknownName = (text: string, names: readonly string[], suggestion: string | undefined) =>
  error("unknown-pin", `${name(text)} is neither an input pin nor a storage bit`, {
    expected: names.length > 0 ? `one of ${list(names, 20)}` : undefined,
    suggestion,
  });

export const noOutput = (pin: string, outputs: readonly string[], suggestion: string | undefined) =>
  error("unknown-pin", `${name(pin)} is driven but is no output`, {
    expected: outputs.length > 0 ? `one of ${list(outputs, 20)}` : "a pin under 'outputs' or 'in-outs'",
    suggestion,
  });

export const notDriven = (pins: readonly string[]) =>
  error("not-driven", `nothing says what ${list(pins, 20)} ${pins.length === 1 ? "shows" : "show"}`, {
    expected: "an expression under 'drives' for every output",
  });

export const notBeside = (key: string) =>
  error("memory", `${quote(key)} does not go with 'memory', whose data pins show what is read`, {
    expected: "one of the two",
  });

export const tooManyMemoryPins = (key: string, count: number, most: number) =>
  error("too-many", `the memory has ${plural(count, `${key} pin`)}`, { expected: `at most ${most}` });

export const noMemoryPin = (pin: string, key: string, pins: readonly string[], suggestion: string | undefined) =>
  error("unknown-pin", `${name(pin)} cannot be one of the ${key} pins`, {
    expected: pins.length > 0 ? `one of ${list(pins, 20)}` : "inputs for the address, in-outs for data",
    suggestion,
  });

export const unclearControl = (pins: readonly string[]) =>
  error("memory", `which of a memory's times ${list(pins, 20)} ${pins.length === 1 ? "has" : "have"} is not clear`, {
    expected: "CE or CS at the beginning of a select's name, OE of an output enable's, WE of a write enable's",
  });

export const memoryTimes = (fn: string) =>
  error("unknown-function", `${name(fn)} is a memory, whose times belong under 'memories'`);

export const badPackage = (text: string) =>
  error("package", `${quote(text)} is no package`, {
    expected: "its kind and its number of pins, at most 64, such as DIP-16",
  });

export const badPinNumber = (text: string, count: number) =>
  error("package", `${quote(text)} is no pin of the package`, { expected: `a number from 1 to ${count}` });

export const numbersLeft = (numbers: readonly string[]) =>
  error(
    "package",
    `${numbers.length === 1 ? "pin" : "pins"} ${list(numbers, 40)} of the package ${numbers.length === 1 ? "has" : "have"} no name`,
    {
      expected: "a name for every pin; those without a connection also stand under 'unconnected'",
    },
  );

export const pinsLeft = (pins: readonly string[]) =>
  error("package", `${list(pins, 40)} ${pins.length === 1 ? "has" : "have"} no number on the package`, {
    expected: "a number for every pin, VCC and GND too",
  });

export const noSuchPin = (pin: string, what: string, pins: readonly string[], suggestion: string | undefined) =>
  error("unknown-pin", `${what} has no pin ${name(pin)}`, {
    expected: pins.length > 0 ? `one of ${list(pins, 40)}` : undefined,
    suggestion,
  });

// Part numbers

export const unknownFunction = (fn: string, suggestion: string | undefined) =>
  error("unknown-function", `no function ${name(fn)} in the catalogue or under 'functions'`, {
    expected: "a function described under 'functions'",
    suggestion,
  });

export const noFunction = (part: string) =>
  error("part-number", `the part number ${name(part)} does not tell the function`, {
    expected: "'function', or a number such as 74HC163: 74, the family's letters, the function",
  });

export const otherFunction = (part: string, inNumber: string, given: string) =>
  error("part-number", `${name(part)} is a ${name(inNumber)} by its number and a ${name(given)} by 'function'`, {
    expected: "one of the two",
  });

export const emptyPart = () =>
  error("bad-name", "the part number is empty or too long", { expected: "such as 74ABT244" });

export const unknownLevelsOf = (text: string, known: readonly string[], suggestion: string | undefined) =>
  error("unknown-levels", `no levels of ${name(text)} are on record`, {
    expected: `one of ${list(known, 12)}`,
    suggestion,
  });

export const unknownOrganisation = (text: string, known: readonly string[], suggestion: string | undefined) =>
  error("unknown-function", `no memory ${name(text)} in the catalogue`, {
    expected: `one of ${list(known, 20)}`,
    suggestion,
  });

// Figures

export const wrongDirection = (pin: string, part: string, wanted: "input" | "output", pins: readonly string[]) =>
  error("wrong-pin", `${name(pin)} is no ${wanted} of ${name(part)}`, { expected: `one of ${list(pins, 20)}` });

export const unlikely = (path: Path, text: string, least: string, most: string) =>
  error("quantity", `${where(path)} is ${quote(text)}`, { expected: `from ${least} to ${most}` });

export const outOfOrder = (lower: string, lowerText: string, upper: string, upperText: string) =>
  error("order", `the ${lower} of ${lowerText} is above the ${upper} of ${upperText}`, {
    expected: "minimum, typical and maximum in that order",
  });

export const hotterIsFaster = (cool: string, coolText: string, hot: string, hotText: string) =>
  error("order", `${hotText} at ${hot} is better than ${coolText} at ${cool}`, {
    expected: "a column of more heat that is not better",
  });

export const lowerIsFaster = (lowVolts: number, low: string, highVolts: number, high: string) =>
  error("order", `${low} at ${lowVolts} V is better than ${high} at ${highVolts} V in the same sheet`, {
    expected: "a lower supply that is not faster",
  });

export const noColumn = (what: string) =>
  error("no-limit", `${what} states no limit`, {
    expected: "at least one of 25 C, 0 to 70 C, -40 to 85 C and -40 to 125 C",
  });

export const noMaximum = () =>
  error("no-limit", "the delay states no greatest time", { expected: "'max' in one of its columns" });

export const noReference = (kind: string) =>
  error("reference", `'reference' is missing: ${kind} is measured against an edge of another pin`, {
    expected: "the clock, enable or strobe, such as CLK",
  });

export const needlessReference = (kind: string) =>
  error("reference", `${kind} has no 'reference'`, { expected: "'pins' only" });

export const notWritten = (symbol: string, organisation: string) =>
  error("not-written", `${symbol} is a time of writing, and a ${name(organisation)} is only read here`);

export const noOutputEnable = (symbol: string, organisation: string) =>
  error("no-output-enable", `${symbol} is a time of the output enable, and a ${name(organisation)} has none`);

export const memoryOrder = (lower: string, lowerText: string, upper: string, upperText: string) =>
  error("order", `${lower} of ${lowerText} is above ${upper} of ${upperText}`, {
    expected: `${lower} within ${upper}`,
  });

export const memoryTwice = (part: string, line: number) =>
  error("part-twice", `${name(part)} is already given in line ${line}`, { expected: "one entry for each grade" });

export const supplyOutOfReach = (text: string) =>
  error("quantity", `a supply of ${quote(text)} is none for logic chips`, { expected: "above 0 V and at most 24 V" });

export const nothingAsks = (from: string, to: string, part: string) =>
  warning(
    "needless",
    `no change of ${name(from)} moves ${name(to)} of ${name(part)} like this, so nothing asks for this delay`,
    {
      expected: "pins and changes of the function",
    },
  );

export const missingFigures = (part: string, gaps: readonly string[]) =>
  warning("missing-figure", `no figure, here or on record, for ${name(part)}: ${gapList(gaps)}`, {
    expected: "a row for each, or verdicts that need it are not covered",
  });

export const notUnderTheseConditions = (part: string, conditions: string, gaps: readonly string[]) =>
  warning("unused-figure", `own figures of ${name(part)} do not hold for ${conditions}: ${gapList(gaps)}`, {
    expected: "a supply and a column that cover the circuit's; what is on record is taken instead, if anything is",
  });

function gapList(gaps: readonly string[]): string {
  const most = 6;
  return gaps.length <= most ? gaps.join("; ") : `${gaps.slice(0, most).join("; ")} and ${gaps.length - most} more`;
}

// In the circuit file

export const partsNotRead = (file: string, why: string) =>
  error("own-parts", `own parts ${quote(file)}: ${oneLine(why)}`, {
    expected: "an own parts file, its path relative to the circuit file",
  });

export const badPartsPath = (text: string) =>
  error("own-parts", `${quote(text)} is no path of an own parts file`, {
    expected: "a path relative to the circuit file that ends in .yaml, such as drawer.parts.yaml",
  });

export const waitsForParts = (part: string, file: string) =>
  `part ${name(part)} is to come from ${name(file)}, which has mistakes`;

export const unknownWithoutParts = (part: string, file: string) =>
  `part ${name(part)} is not in the catalogue, and ${name(file)}, which may have it, was not read`;
