import { textTable, wrapText } from "../paper/index.js";
import type { IdleAcceptance, Judged, Weakness } from "../verdict/index.js";

/** Columns of the text, in characters. */
export const WIDTH = 100;

/** State, name, required, available, margin, margin at typical delays of a failure, and where it is worst. */
export type Row = readonly [string, string, string, string, string, string, string];

/** One verdict or group a line. The column of typical margins is there only where something fails. */
export function verdictTable(name: string, rows: readonly Row[]): string {
  if (rows.length === 0) return "";
  const columns = [
    { head: "state" },
    { head: name },
    { head: "required", align: "right" },
    { head: "available", align: "right" },
    { head: "margin", align: "right" },
    { head: "typical", align: "right" },
    { head: "worst at" },
  ] as const;
  const used = columns.flatMap((column, index) =>
    column.head === "typical" && rows.every((cells) => cells[index] === "") ? [] : [{ column, index }],
  );
  const widths = used.map(({ column, index }) =>
    Math.max(column.head.length, ...rows.map((r) => r[index]?.length ?? 0)),
  );
  const others = widths.reduce((sum, width, position) => (used[position]?.index === 1 ? sum : sum + width + 2), 0);
  return textTable(
    used.map(({ column, index }) => (index === 1 ? { ...column, most: WIDTH - others } : column)),
    rows.map((cells) => used.map(({ index }) => cells[index] ?? "")),
  );
}

const MARKS = {
  "assumed minimum": { mark: "*", means: "rests on a least delay that no sheet states" },
  "assumed levels": { mark: "¶", means: "rests on CMOS levels from outside, which the file does not state" },
  "from memory": { mark: "†", means: "rests on a figure recalled, not read" },
  measured: { mark: "‡", means: "rests on a figure that the builder measured" },
  "common practice": { mark: "§", means: "rests on common practice" },
} as const satisfies Readonly<Record<Weakness, { mark: string; means: string }>>;

/** What stands behind a verdict's name for each weakness that it rests on. */
export function marks({ restsOn }: Judged): string {
  return restsOn.map((weakness) => ` ${MARKS[weakness].mark}`).join("");
}

/** What the marks of these verdicts mean, a line each. */
export function marksUnder(verdicts: readonly Judged[]): readonly string[] {
  const rests = new Set(verdicts.flatMap(({ restsOn }) => restsOn));
  return (Object.keys(MARKS) as Weakness[])
    .filter((weakness) => rests.has(weakness))
    .map((weakness) => `${MARKS[weakness].mark} ${MARKS[weakness].means}.`);
}

export function idleText(idle: readonly IdleAcceptance[]): readonly string[] {
  const because = {
    "no such verdict": "no verdict has that name",
    holds: "it holds, so nothing needs accepting",
    "not a failure": "only failures can be accepted",
    "another unit": "its margin is in another unit than the verdict's",
  } as const;
  return idle.map(({ acceptance, why }) => wrapped(`The file accepts "${acceptance.verdict}", but ${because[why]}.`));
}

export function wrapped(text: string): string {
  return wrapText(text, WIDTH).join("\n");
}

/** Text with its lines after the first set in by the length of `lead`. */
export function hanging(lead: string, text: string): string {
  return wrapText(text, WIDTH - lead.length)
    .map((line, index) => (index === 0 ? lead : " ".repeat(lead.length)) + line)
    .join("\n");
}

/** Sources with their numbers, a line or more each. */
export function citedText(sources: readonly string[]): string {
  return sources.map((source, index) => hanging(`[${index + 1}] `, source)).join("\n");
}

export function paragraphs(parts: readonly string[]): string {
  return parts.filter((part) => part !== "").join("\n\n");
}
