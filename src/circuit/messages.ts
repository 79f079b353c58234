import { type Fs, printTime } from "../quantity/index.js";
import type { FileKind } from "./file-kind.js";
import type { Complaint } from "./problem.js";
import type { Path, Value } from "./value.js";
import {
  alternatives,
  complaint,
  describe,
  error,
  list,
  name,
  oneLine,
  plural,
  quote,
  warning,
  where,
} from "./wording.js";

/** The wording of every mistake in a circuit file, in one place. Each function makes one complaint from its facts. */

// Refusals of the whole file

export const tooLong = (length: number, most: number, kind: FileKind) =>
  error("too-long", `the file is ${(length / 1048576).toFixed(1)} MiB long`, {
    expected: `${kind.name} of at most ${most / 1048576} MiB`,
  });

export const binary = () => error("binary", "the file is not text: it has NUL bytes", { expected: "text in UTF-8" });

export const notUtf8 = () => error("binary", "the file is not UTF-8 text", { expected: "text in UTF-8" });

export const empty = (kind: FileKind) => error("empty", "the file is empty", { expected: kind.name });

export const tooDeep = (most: number, kind: FileKind) =>
  error("too-deep", `lists and maps are more than ${most} deep inside each other`, {
    expected: kind.depth,
  });

export const tooMany = (what: string, most: number) =>
  error("too-many", `there are more than ${most.toLocaleString("en")} ${what}`);

export const severalDocuments = (kind: FileKind) =>
  error("several-documents", "a second document begins here", { expected: `${kind.holds} a file` });

export const aliasBomb = (most: number) =>
  error("alias-bomb", `with its aliases written out the file has more than ${most.toLocaleString("en")} values`);

export const unknownAnchor = (anchor: string) =>
  error("unknown-anchor", `alias *${name(anchor)} has no anchor &${name(anchor)} before it`);

export const selfReference = (anchor: string) =>
  error("self-reference", `alias *${name(anchor)} stands inside what it stands for, which has no end`);

export const andMore = (severity: Complaint["severity"], listed: number) =>
  complaint(
    severity,
    "too-many",
    `there are more mistakes than the ${listed.toLocaleString("en")} that are listed`,
    {},
  );

// YAML and structure

/** What the YAML parser's own words do not make plain to everyone. */
const YAML_WORDS: Readonly<Record<string, string>> = {
  BAD_INDENT: "the indentation does not fit the lines above",
  TAB_AS_INDENT: "a tab is used for indentation; YAML takes spaces only",
  MULTILINE_IMPLICIT_KEY: "a key and its colon must be on one line",
  BLOCK_AS_IMPLICIT_KEY:
    "no key can be here: a text that has ': ' in it needs quotes, and the keys of one map the same indentation",
  BLOCK_IN_FLOW: "a list or map of lines inside brackets or braces",
};

export function yamlError(code: string, message: string, line: string): Complaint {
  const plain = oneLine(message).replace(/[.:]+$/, "");
  const words = Object.hasOwn(YAML_WORDS, code) ? YAML_WORDS[code] : undefined;
  const detail = words ?? plain.charAt(0).toLowerCase() + plain.slice(1);
  const isBracketKey = /^\s*\[[^\]]*\][^:]*:\s/.test(line);
  const hasBracketInside = /[{,].*\w\[/.test(line);
  const expected = isBracketKey
    ? "quotes around a key that begins with a bracket"
    : hasBracketInside
      ? "quotes around names with brackets when they stand inside braces or a list"
      : undefined;
  return error("yaml", `not YAML: ${detail}`, { expected });
}

export const yamlWarning = (message: string) => warning("yaml", `YAML: ${message}`);

export const keyIsNoText = () =>
  error("key-is-no-text", "this key is no text", { expected: "a name; in quotes when it begins with a bracket" });

export function duplicateKey(key: string, path: Path, firstLine: number): Complaint {
  const [section, chip] = path;
  if (section === "chips" && path.length === 1) {
    return error("duplicate-chip", `chip ${name(key)} is already described in line ${firstLine}`);
  }
  if (section === "chips" && path[2] === "pins") {
    return error("pin-twice", `pin ${name(key)} of ${name(String(chip))} is already on a net in line ${firstLine}`);
  }
  return error("duplicate-key", `${quote(key)} is already given in line ${firstLine}`);
}

export const notAMap = () =>
  error("wrong-type", "the file is no map of keys and values", {
    expected: "dotwright, title, raster, chips and so on",
  });

export const unknownKey = (key: string, path: Path, known: readonly string[], suggestion: string | undefined) =>
  error("unknown-key", `there is no ${quote(key)} in ${where(path)}`, {
    expected: known.length > 0 ? `one of ${list(known, 20)}` : undefined,
    suggestion: suggestion === undefined ? undefined : quote(suggestion),
  });

export const missingKey = (path: Path, example: string | undefined) =>
  error("missing-key", `${quote(String(path.at(-1)))} is missing in ${where(path.slice(0, -1))}`, {
    expected: example === undefined ? undefined : `something like ${quote(example)}`,
  });

export const notOneOf = (path: Path, found: Value, values: readonly string[], suggestion: string | undefined) =>
  error("wrong-value", `${where(path)} cannot be ${describe(found)}`, {
    expected: values.length === 1 ? values[0] : `one of ${list(values)}`,
    suggestion: suggestion === undefined ? undefined : quote(suggestion),
  });

export function wrongType(path: Path, found: Value, kinds: readonly string[], example: string | undefined): Complaint {
  const [section, chip, pins, pin] = path;
  if (section === "chips" && pins === "pins" && pin !== undefined && found === null) {
    return error("missing-net", `pin ${name(String(pin))} of ${name(String(chip))} has no net`, {
      expected: "a net, high, low or open; inside braces, several pins with one net need quotes around them",
    });
  }
  const such = example === undefined ? "" : ` such as ${quote(example)}`;
  const inQuotes = kinds.includes("text") && (typeof found === "number" || typeof found === "boolean");
  return error("wrong-type", `${where(path)} cannot be ${describe(found)}`, {
    expected: `${kinds.length > 0 ? kinds.join(" or ") : "something else"}${such}`,
    suggestion: inQuotes && example === undefined ? `"${String(found)}" in quotes` : undefined,
  });
}

// Quantities

export const quantity = (path: Path, wrong: string, expected: string) =>
  error("quantity", `${where(path)}: ${oneLine(wrong)}`, { expected });

export const timeTooShort = (path: Path, text: string, least: Fs) =>
  error("quantity", `${where(path)} is ${quote(text)}`, { expected: `at least ${printTime(least)}` });

export const windowReversed = (path: Path, from: Fs, to: Fs) =>
  error("quantity", `the window of ${where(path)} ends at ${printTime(to)}, before it begins at ${printTime(from)}`, {
    expected: "an end that is not earlier",
  });

export const notAboveZero = (path: Path, text: string) =>
  error("quantity", `${where(path)} is ${quote(text)}`, { expected: "something above zero" });

export const toleranceOutside = (path: Path, text: string) =>
  error("quantity", `${where(path)} is ${quote(text)}`, { expected: "from 0 to less than 100 %" });

export const repeatTooShort = (path: Path, high: Fs, low: Fs, repeat: Fs) =>
  error("quantity", `${where(path)} repeats after ${printTime(repeat)}, sooner than its high and low times allow`, {
    expected: `at least ${printTime((high + low) as Fs)}`,
  });

export const supplyOutOfReach = (text: string) =>
  error("quantity", `a supply of ${quote(text)} is none for logic chips`, { expected: "above 0 V and at most 24 V" });

export const ambientOutOfReach = (text: string) =>
  error("quantity", `no chip is rated for an ambient of ${quote(text)}`, { expected: "a range within -55 to 125 °C" });

export const emptyTitle = () => error("missing-key", "the title is empty", { expected: "what the board is called" });

// Names and ranges

export const emptyName = () => error("bad-name", "a name is missing between the commas");

export const badRange = (text: string, why: string) =>
  error("bad-range", `${quote(text)} is no range: ${why}`, {
    expected: "two whole numbers or two letters, such as VA[0..14]",
  });

export const longRange = (text: string, members: number | bigint, most: number) =>
  error("bad-range", `the range ${quote(text)} has ${members.toLocaleString("en")} members`, {
    expected: `at most ${most}`,
  });

export const badNetName = (text: string) =>
  error("bad-name", `${quote(text)} is no name for a net`, {
    expected: "letters, digits, _ # + - and points, beginning with a letter",
  });

export const badRef = (text: string) =>
  error("bad-name", `${quote(text)} is no name for a chip or passive`, {
    expected: "letters, digits and _, beginning with a letter",
  });

export const reservedName = (text: string, instead: string) =>
  error("bad-name", `${quote(text)} cannot be the name of a net`, { suggestion: instead });

export const widthMismatch = (pins: number, nets: number) =>
  error("width-mismatch", `${plural(pins, "pin")} on ${plural(nets, "net")}`, {
    expected: `one net, or as many as pins`,
  });

// Chips and pins

export const partNotSought = (part: string) =>
  `part ${name(part)} was not looked for: it is too long, or too many before it are unknown`;

/** The catalogue words its own refusals: only it knows what it has. */
export const unknownPart = (
  problem: string,
  suggestions: readonly string[],
  expected = "the full part number, such as 74HC163 or 62256-70",
) =>
  error("unknown-part", problem, {
    expected: suggestions.length === 0 ? expected : undefined,
    suggestion: suggestions.length === 0 ? undefined : alternatives(suggestions),
  });

export const unknownPin = (pin: string, part: string, pins: readonly string[], suggestion: string | undefined) =>
  error("unknown-pin", `no pin ${name(pin)} on ${name(part)}`, {
    expected: pins.length > 0 ? `one of ${list(pins, 40)}` : undefined,
    suggestion,
  });

export const pinTwice = (chip: string, pin: string, firstLine: number) =>
  error("pin-twice", `pin ${pin} of ${chip} is already on a net in line ${firstLine}`);

export const missingPins = (chip: string, part: string, pins: readonly string[]) =>
  error(
    "missing-pin",
    `${pins.length === 1 ? "pin" : "pins"} ${list(pins, 40)} of ${chip} (${part}) ${pins.length === 1 ? "is" : "are"} not given`,
    {
      expected: "a net, high, low or open for every pin",
    },
  );

export const partTwice = (chip: string, part: string, first: string) =>
  error("part-twice", `chip ${name(chip)} is a ${name(part)} here and a ${name(first)} above`);

export const supplyPin = (chip: string, pin: string, net: string, expected: string) =>
  error("supply-pin", `supply pin ${pin} of ${chip} is on ${name(net)}`, { expected });

export const notConnectedPin = (chip: string, pin: string) =>
  warning("unconnected-pin", `pin ${pin} of ${chip} has no connection inside the chip`, { expected: "open" });

export const openInput = (chip: string, pin: string) =>
  warning("open-input", `input ${pin} of ${chip} is left open and will float`, { expected: "high, low or a net" });

export const noChips = () => error("no-chips", "the circuit has no chips", { expected: "at least one" });

export const noOscillator = () =>
  warning("no-oscillator", "no chip is an oscillator, so there is no clock to time anything by", {
    expected: "a chip such as 'OSC-25.175MHz'",
  });

// Nets

const verb = (subjects: readonly string[], one: string, several: string) => (subjects.length === 1 ? one : several);

const netList = (nets: readonly string[]) => `${verb(nets, "net", "nets")} ${list(nets)}`;

export const twoDrivers = (net: string, pins: readonly string[]) =>
  error("two-drivers", `net ${net} is always driven by ${pins.length} outputs at once: ${list(pins)}`, {
    expected: "one output, or outputs with an enable",
  });

export const outputOnRail = (chip: string, pin: string, rail: string) =>
  error("output-on-rail", `output ${pin} of ${chip} is tied to the rail ${rail}`, {
    expected: "a net of its own, or open",
  });

export const noDriver = (nets: readonly string[], readers: readonly string[], suggestion: string | undefined) =>
  error("no-driver", `nothing drives ${netList(nets)}, which ${list(readers)} ${verb(readers, "reads", "read")}`, {
    expected: "an output, or the net under 'inputs' or 'to come'",
    suggestion,
  });

export const neverEnabled = (nets: readonly string[], drivers: readonly string[]) =>
  error(
    "never-enabled",
    `${netList(nets)} ${verb(nets, "is", "are")} never driven: the ${verb(drivers, "output", "outputs")} ${list(drivers)} ${verb(drivers, "is", "are")} never enabled`,
    {
      expected: "an enable that is not tied to its inactive level",
    },
  );

export const drivenThroughPassive = (nets: readonly string[], passives: readonly string[]) =>
  warning("passive-driver", `only ${list(passives)} ${verb(passives, "drives", "drive")} ${netList(nets)}`, {
    expected: "an output; passives take no part in timing or simulation",
  });

export const noReceiver = (nets: readonly string[], drivers: readonly string[], suggestion: string | undefined) =>
  warning("no-receiver", `nothing reads ${netList(nets)}, which ${list(drivers)} ${verb(drivers, "drives", "drive")}`, {
    expected: "an input, or the outputs open",
    suggestion,
  });

export const drivenInput = (net: string, pins: readonly string[]) =>
  error(
    "driven-input",
    `net ${net} comes from outside, but ${list(pins)} always ${pins.length === 1 ? "drives" : "drive"} it too`,
    {
      expected: "one of the two",
    },
  );

export const unknownNet = (net: string, where: string, suggestion: string | undefined) =>
  error("unknown-net", `no chip has a pin on net ${name(net)}, named under ${quote(where)}`, { suggestion });

export const netTwice = (net: string, where: string) =>
  error("net-twice", `net ${net} is named twice under ${quote(where)}`);

export const railAs = (rail: string, where: string) =>
  error("rail", `the rail ${rail} cannot stand under ${quote(where)}`, { expected: "a net" });

// Inputs, picture, and the rest

export const badEdge = (text: string) =>
  error("bad-edge", `${quote(text)} is no edge of a net`, { expected: "a net and rise or fall, such as 'WR# rise'" });

export const severalNets = (text: string) =>
  error("several-nets", `${quote(text)} is more than one net`, { expected: "one net" });

export const cyclicInputs = (nets: readonly string[]) =>
  error("cyclic-inputs", `the timing of ${list(nets)} goes round in a circle`, {
    expected: "at least one that refers to an edge of the circuit, or changes at any time",
  });

export const badSize = (text: string) =>
  error("quantity", `picture size ${quote(text)} is no size`, { expected: "dots and lines, such as '320 x 240'" });

export const noVideo = () =>
  error("no-video", "the picture has no video net", { expected: "'video', or 'red', 'green' and 'blue'" });

export const videoAndColours = () =>
  error("no-video", "the picture has both 'video' and colours", { expected: "'video', or 'red', 'green' and 'blue'" });

export const noPicture = () =>
  warning("no-picture", "no picture is given, so what a monitor shows cannot be told", {
    expected: "'picture' with hsync, vsync and video",
  });

export const unknownRaster = (id: string, near: readonly string[]) =>
  error("unknown-raster", `no raster ${name(id)} is published`, {
    expected: near.length === 0 ? "the id of a published raster, such as 640x480@60" : undefined,
    suggestion: near.length === 0 ? undefined : alternatives(near),
  });

export const unknownMaker = (part: string, suggestion: string | undefined) =>
  warning("unknown-maker", `a maker is given for ${name(part)}, but no chip is one`, { suggestion });

export const unknownMetastability = (part: string, suggestion: string | undefined) =>
  warning("unknown-metastability", `metastability is given for ${name(part)}, but no chip is one`, { suggestion });

export const emptyReason = () =>
  error("no-reason", "an accepted failure has no reason", { expected: "why it does no harm on this board" });

export const badShare = (text: string) =>
  error("quantity", `${quote(text)} is no least delay`, {
    expected: "zero, quarter of typical, third of typical, or a share up to 1 such as 0.3 of typical",
  });

export const badSupplyName = (text: string) =>
  error("bad-name", `${quote(text)} cannot be the name of a supply`, { expected: "a name that is no rail or net" });

export const noSupply = () => error("missing-key", "no supply is given", { expected: "5 V ± 10 %" });

export const refTwice = (ref: string) => error("duplicate-chip", `${name(ref)} names both a chip and a passive`);

export const twoNets = (ref: string) =>
  error("passive-nets", `${name(ref)} must be between two nets`, {
    expected: "two different nets, such as [VIDEO, VGA_RED]",
  });

export const unknownLevels = (text: string, known: readonly string[], suggestion: string | undefined) =>
  error("unknown-levels", `${quote(text)} is nothing whose levels are on record`, {
    expected: `one of ${list(known, 12)}, and where it is on another supply 'on' its name or 'at' its volts`,
    suggestion,
  });

export const unknownSupply = (text: string, known: readonly string[]) =>
  error("unknown-supply", `there is no supply ${name(text)}`, {
    expected: `${alternatives(known)}, or volts such as 'CMOS at 3.3 V ± 5 %'`,
  });

// CSV

export const csvHeader = (missing: readonly string[]) =>
  error("csv-header", `the first line names no ${missing.length === 1 ? "column" : "columns"} ${list(missing)}`, {
    expected: "the columns chip, part, pin and net, in any order",
  });

export const csvCells = (found: number, expected: number) =>
  error("csv-cells", `this line has ${plural(found, "cell")}`, { expected: `${expected}, as in the first line` });

export const csvEmptyCell = (column: string) =>
  error("csv-cells", `the ${column} is missing in this line`, {
    expected: column === "net" ? "a net, high, low or open" : `a ${column}`,
  });

export const csvQuote = () => error("csv-quote", "this quote is not closed", { expected: 'a second "' });

export const csvNoPart = (chip: string) =>
  error("missing-key", `no line says which part ${name(chip)} is`, { expected: "its part number in one of its lines" });
