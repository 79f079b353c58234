import { type Entry, type EntryKind, entryKinds, entryLine } from "./entry.js";

/** Why a line is no entry; both places count from 1. */
export interface NotebookProblem {
  readonly line: number;
  readonly column: number;
  readonly message: string;
}

export interface Notebook {
  /** In the order of their dates; where these are equal, as they stand in the file. */
  readonly entries: readonly Entry[];
  readonly problems: readonly NotebookProblem[];
}

/**
 * Reads a bench notebook: an entry a line, its date, its kind and its text. Blank lines and those that begin with `#` say
 * nothing. A line that cannot be read is a problem and keeps no other from being read. Lines may stand in any order and more
 * than once, so that two people's notebooks are merged by putting one below the other.
 */
export function readNotebook(text: string): Notebook {
  const found = new Map<string, Entry>();
  const problems: NotebookProblem[] = [];
  text
    .replace(/^\uFEFF/, "")
    .split(/\r\n|\r|\n/)
    .forEach((line, index) => {
      if (line.trim() === "" || line.startsWith("#")) return;
      const entry = readEntry(line);
      if ("message" in entry) problems.push({ line: index + 1, ...entry });
      else found.set(entryLine(entry), entry);
    });
  const entries = [...found.values()].sort((a, b) => (a.when < b.when ? -1 : a.when > b.when ? 1 : 0));
  return { entries, problems };
}

/** Reads one line, or says at which column, from 1, it is no entry. */
export function readEntry(line: string): Entry | Omit<NotebookProblem, "line"> {
  const [, when = "", between = "", word = "", gap = "", rest = ""] =
    /^(\d{4}-\d\d-\d\d(?: \d\d:\d\d)?)?(\s*)(\S*)(\s*)(.*)$/.exec(line) ?? [];
  if (when === "") return { column: 1, message: "a date was expected, such as 2026-11-28 or 2026-11-28 14:05" };
  if (!isDate(when)) return { column: 1, message: `${when}: there is no such day or time` };
  const at = 1 + when.length + between.length;
  if (between === "" || !isKind(word)) {
    return { column: at, message: `${word || "the end"}: ${entryKinds.join(", ")} was expected` };
  }
  const text = rest.trim();
  const column = at + word.length + gap.length;
  if (text === "") return { column, message: `what was ${word === "note" ? "noted" : word} was expected` };
  if (word === "measured" && !/^[^\s=]+\s*=\s*\S/.test(text)) {
    return { column, message: `${text}: a place and what was measured there were expected, such as U5.14=12.5 kHz` };
  }
  return { when, kind: word, text };
}

function isKind(word: string): word is EntryKind {
  return entryKinds.some((kind) => kind === word);
}

const DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** Whether a day is in the Gregorian calendar, and a time on the clock. */
function isDate(when: string): boolean {
  const [year = 0, month = 0, day = 0, hour = 0, minute = 0] = when.split(/[- :]/).map(Number);
  const isLeap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const days = (DAYS[month - 1] ?? 0) + (month === 2 && isLeap ? 1 : 0);
  return day >= 1 && day <= days && hour < 24 && minute < 60;
}
