import * as say from "./messages.js";
import type { Complaint } from "./problem.js";

/** The longest range, `[0..1023]`, and the most names in one text. */
const MOST_NAMES = 1024;

/** A name and where in the text it was written. */
export interface WrittenName {
  readonly name: string;
  readonly from: number;
  readonly to: number;
}

export interface Expansion {
  readonly names: readonly WrittenName[];
  /** What is wrong with parts of the text; these parts give no names. */
  readonly complaints: readonly { readonly from: number; readonly to: number; readonly complaint: Complaint }[];
}

/**
 * Writes out names with commas between and ranges in brackets: `2D, 2CLK`, `VA[0..14]`, `[1..8]D`, `Q[A..D]`, `VA[3]`.
 * A range may run downwards.
 */
export function expandNames(text: string): Expansion {
  const names: WrittenName[] = [];
  const complaints: { from: number; to: number; complaint: Complaint }[] = [];
  let start = 0;
  for (const piece of text.split(",", MOST_NAMES + 1)) {
    const name = piece.trim();
    const from = start + piece.length - piece.trimStart().length;
    const to = from + name.length;
    start += piece.length + 1;
    const expanded = name === "" ? say.emptyName() : expandRange(name);
    if (!Array.isArray(expanded)) complaints.push({ from, to, complaint: expanded });
    else if (names.length + expanded.length > MOST_NAMES) {
      complaints.push({ from, to, complaint: say.longRange(text, names.length + expanded.length, MOST_NAMES) });
      break;
    } else for (const member of expanded) names.push({ name: member, from, to });
  }
  return { names, complaints };
}

function expandRange(name: string): string[] | Complaint {
  const match = /^([^[\]]*)\[([^[\]]*)\]([^[\]]*)$/.exec(name);
  if (!match) return /[[\]]/.test(name) ? say.badRange(name, "its brackets do not match") : [name];
  const [, before = "", inner = "", behind = ""] = match;
  const ends = inner.split("..").map((end) => end.trim());
  const [first = "", last = first] = ends;
  if (ends.length > 2) return say.badRange(name, "it has more than two ends");
  const areNumbers = /^\d{1,12}$/.test(first) && /^\d{1,12}$/.test(last);
  const areLetters = /^[A-Z]$/.test(first) && /^[A-Z]$/.test(last);
  if (!areNumbers && !areLetters) return say.badRange(name, "its ends are not two numbers or two capital letters");
  const position = (end: string) => (areNumbers ? Number(end) : end.charCodeAt(0));
  const [low, high] = [position(first), position(last)];
  const count = Math.abs(high - low) + 1;
  if (count > MOST_NAMES) return say.longRange(name, count, MOST_NAMES);
  return Array.from({ length: count }, (_, index) => {
    const at = low <= high ? low + index : low - index;
    return `${before}${areNumbers ? at : String.fromCharCode(at)}${behind}`;
  });
}

/** The words that stand for a rail in a circuit file. */
const RAIL_WORDS: Readonly<Record<string, "high" | "low">> = { high: "high", VCC: "high", low: "low", GND: "low" };

/** The word for a pin that is left open on purpose. */
export const OPEN = "open";

/** The rail that a net's name stands for, if it does. */
export function railOf(name: string): "high" | "low" | undefined {
  return Object.hasOwn(RAIL_WORDS, name) ? RAIL_WORDS[name] : undefined;
}

/** What is wrong with a net's name, if anything is. */
export function checkNetName(name: string): Complaint | undefined {
  if (!/^[A-Za-z_][\w#+.-]*$/.test(name) || name.length > 64) return say.badNetName(name);
  const lower = name.toLowerCase();
  if (lower === "high" || lower === "vcc" || lower === "vdd") return say.reservedName(name, "high");
  if (lower === "low" || lower === "gnd" || lower === "vss") return say.reservedName(name, "low");
  return lower === OPEN ? say.reservedName(name, OPEN) : undefined;
}

/** What is wrong with the builder's name of a chip or passive, if anything is. */
export function checkRef(ref: string): Complaint | undefined {
  return /^[A-Za-z]\w*$/.test(ref) && ref.length <= 32 ? undefined : say.badRef(ref);
}
