import { TYPICAL_OVER_MAXIMUM } from "../parts/index.js";
import type { FunctionTable } from "./function-table.js";
import type { DelayLine, FigureMark, RequirementLine } from "./part-figures.js";
import type { LevelLine, PartLevels } from "./part-levels.js";
import type { PartPage, SubstituteLine } from "./part-page.js";

/** What a part's page says in words, as text and as HTML alike. */

/** See `TYPICAL_OVER_MAXIMUM`. */
export const typicalWords = `Where no sheet prints a typ, ${TYPICAL_OVER_MAXIMUM} of max.`;

export const negationWords = "! not, & and, ^ exclusive or, | or.";

/** What is said of the outputs that the catalogue does not describe; empty where there are none. */
export function undescribedWords({ undescribed }: PartPage): string {
  return undescribed.length === 0 ? "" : `Not described, and not judged in a circuit: ${undescribed.join(", ")}.`;
}

export const substituteWords =
  "Slowest way through, of those for which both have figures, and its ratio to this part's.";

export function figuresWords({ conditions }: PartPage): string {
  return `Figures for ${conditions}. Times in ns.`;
}

export function levelsWords({ volts }: PartLevels): string {
  return `At a supply of ${Number(volts.toFixed(3))} V; outputs at the greatest current for which the sheet gives a level.`;
}

/** The letter beside a level that was recalled. */
export function levelMark({ isRecalled }: LevelLine): string {
  return isRecalled ? letters["from memory"] : "";
}

export function packagesWords({ housing }: PartPage): string {
  return `On record: ${housing.packages.join(", ")}. ${housing.advice}`;
}

/** What the signs in function tables mean, as far as they occur. */
export function signsWords(tables: readonly FunctionTable[]): string {
  const signs = tables.flatMap(({ rows }) => rows.flatMap((row) => [...row.inputs, ...row.outputs]));
  const key = [
    "L low, H high, X either",
    ...(signs.some((sign) => /^[↑↓]$/.test(sign)) ? ["↑ ↓ the clock's edge, no ↑ steady or the other edge"] : []),
    ...(signs.includes("Z") ? ["Z undriven"] : []),
    ...(tables.some(showsBefore) ? ["Q0 what Q was before"] : []),
    ...(signs.some((sign) => /^!?[a-z]\d?$/.test(sign)) ? ["a the level at A"] : []),
    ...(signs.some((sign) => sign.startsWith("!")) ? ["! the opposite"] : []),
  ];
  return `${key.join("; ")}.`;
}

/** Whether a row shows what an output, or a bit among them, was before: `c0` of a multiplexer is a pin's level. */
function showsBefore({ outputs, rows }: FunctionTable): boolean {
  const before = new Set(outputs.map((name) => `${name}0`));
  return rows.some((row) => row.outputs.some((sign) => before.has(sign.replace("!", ""))));
}

const letters: Readonly<Record<FigureMark, string>> = { assumed: "a", "from memory": "m", derived: "d" };

const meanings: Readonly<Record<FigureMark, string>> = {
  assumed: "a: the minimum is assumed, no sheet states one",
  "from memory": "m: from memory, not read in a sheet",
  derived: "d: derived from the sheet's figure by an allowance, named with the source",
};

/** What the letter beside a level means; empty where none has one. */
export function levelLetterWords({ lines }: PartLevels): string {
  return lines.some(({ isRecalled }) => isRecalled) ? `${meanings["from memory"]}.` : "";
}

/** The letters beside a figure. */
export function lettersOf({ marks }: DelayLine | RequirementLine): string {
  return marks.map((mark) => letters[mark]).join("");
}

/** What the letters beside a page's figures mean; empty where there are none. */
export function lettersWords({ delays, requirements, levels }: PartPage): string {
  const marks = new Set([...delays, ...requirements].flatMap((line) => line.marks));
  if (levels?.lines.some(({ isRecalled }) => isRecalled)) marks.add("from memory");
  const used = (Object.keys(letters) as FigureMark[]).filter((mark) => marks.has(mark));
  return used.length === 0 ? "" : `${used.map((mark) => meanings[mark]).join("; ")}.`;
}

/** How many substitutes a page lists on either side of the part's own speed. */
const MOST_SUBSTITUTES = 14;

/** The substitutes that a page lists, and how many more there are. */
export function listedSubstitutes({ substitutes }: PartPage): {
  readonly shown: readonly SubstituteLine[];
  readonly rest: number;
} {
  const slower = substitutes.filter(({ speed }) => speed !== "faster").slice(0, 6);
  const faster = substitutes.filter(({ speed }) => speed === "faster").slice(-(MOST_SUBSTITUTES - slower.length));
  const shown = [...faster, ...slower];
  return { shown, rest: substitutes.length - shown.length };
}

/** Whether the requirements are a memory's times, of which some are greatest ones. */
export function isMemoryPage({ requirements }: PartPage): boolean {
  return requirements.some(({ limit }) => limit === "most");
}

/** Nanoseconds to a tenth; empty where there are none. */
export function tenthsOf(nanoseconds: number | undefined): string {
  return nanoseconds === undefined ? "" : nanoseconds.toFixed(1);
}
