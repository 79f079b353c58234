import { textTable, wrapText } from "../paper/index.js";
import type { Fs } from "../quantity/index.js";
import {
  type Account,
  type IdleAcceptance,
  type Proof,
  type Verdict,
  groupState,
  limitsInShort,
  nsText,
  summary,
} from "../timing/index.js";

/** Columns of the text, in characters. */
const WIDTH = 100;
/** Groups that do not hold and are listed one by one; the rest are counted. */
const MOST_BAD = 16;

/** The answer, what does not hold, the tightest place of each rule, and what the verdicts do not see. */
export function proofText(proof: Proof, file: string): string {
  const { answer, groups, hidden } = summary(proof);
  const bad = groups.filter(({ state }) => state !== "holds");
  const shown = [...bad.slice(0, MOST_BAD), ...groups.filter(({ state }) => state === "holds")];
  const left = bad.length - MOST_BAD;
  const more = [
    ...(left > 0 ? [`${left} more ${left === 1 ? "group does" : "groups do"} not hold`] : []),
    ...(hidden > 0 ? [`${hidden} more ${hidden === 1 ? "group holds" : "groups hold"} with more to spare`] : []),
  ];
  const [first] = groups;
  return paragraphs([
    wrapped(answer),
    verdictTable(shown.map(({ label, state, worst }) => row(state, label, worst))),
    marksUnder(shown.map(({ worst }) => worst)),
    more.length === 0 ? "" : wrapped(`${more.join("; ")}: --all lists every verdict.`),
    first ? `Why: npx dotwright prove ${file} --why "${first.worst.name}"` : "",
    ...idleText(proof.idleAcceptances),
    wrapped(limitsInShort),
  ]);
}

/** The answer and every verdict on a line, worst first. */
export function everyVerdictText(proof: Proof): string {
  const { verdicts } = proof;
  const rows = verdicts.map((verdict) => row(groupState(verdict), verdict.name, verdict));
  return paragraphs([
    wrapped(summary(proof).answer),
    verdictTable(rows),
    marksUnder(verdicts),
    ...idleText(proof.idleAcceptances),
    wrapped(limitsInShort),
  ]);
}

/** The account of one verdict: what is asked, the arithmetic line by line, and where each figure was read. */
export function accountText({ heading, sentences, lines, sources }: Account): string {
  const rows = lines.map(({ text, limits, adds, sum, mark, source }) => [
    text,
    limits,
    adds === undefined ? "" : signed(adds),
    sum === undefined ? "" : nsText(sum),
    [mark, source === undefined ? "" : `[${source}]`].filter((part) => part !== "").join(" "),
  ]);
  const columns = [
    { head: "ns", most: 44 },
    { head: "least to most", align: "right" },
    { head: "adds", align: "right" },
    { head: "sum", align: "right" },
    { head: "" },
  ] as const;
  const cited = sources.map((source, index) => hanging(`[${index + 1}] `, source));
  return paragraphs([
    heading,
    sentences.map(wrapped).join("\n"),
    rows.length === 0 ? "" : textTable(columns, rows),
    lines.some(({ mark }) => mark.includes("shared")) ? "shared: on both ways, so it counts on neither." : "",
    cited.join("\n"),
    wrapped(limitsInShort),
  ]);
}

/** State, name, required, available, margin, margin at typical delays of a failure, and the moment. */
type Row = readonly [string, string, string, string, string, string, string];

function row(state: string, label: string, verdict: Verdict): Row {
  const { required, available, margin, typicalMargin, occasion } = verdict;
  const figure = (time: Fs | undefined) => (time === undefined ? "" : nsText(time));
  const typical = verdict.state === "fails" ? figure(typicalMargin) : "";
  const name = `${label}${marks(verdict)}`;
  return [state, name, figure(required), figure(available), figure(margin), typical, occasion?.text ?? ""];
}

/** The column of typical margins is there only where something fails. */
function verdictTable(rows: readonly Row[]): string {
  if (rows.length === 0) return "";
  const columns = [
    { head: "state" },
    { head: "rule and place" },
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

const MARKS = { "assumed minimum": " *", "from memory": " †", measured: " ‡" } as const;

/** `*` for an assumed minimum, `†` for a figure from memory, `‡` for a measured one. */
function marks({ restsOn }: Verdict): string {
  return restsOn.map((weakness) => MARKS[weakness]).join("");
}

function marksUnder(verdicts: readonly Verdict[]): string {
  const rests = new Set(verdicts.flatMap(({ restsOn }) => restsOn));
  return [
    "Times in nanoseconds; lines, dots and periods count from 0 at power-up.",
    ...(rests.has("assumed minimum") ? ["* rests on a least delay that no sheet states."] : []),
    ...(rests.has("from memory") ? ["† rests on a figure recalled, not read."] : []),
    ...(rests.has("measured") ? ["‡ rests on a figure that the builder measured."] : []),
    ...(verdicts.some(({ state, typicalMargin }) => state === "fails" && typicalMargin !== undefined)
      ? ["typical: the margin at typical delays, for information only."]
      : []),
  ].join("\n");
}

function idleText(idle: readonly IdleAcceptance[]): readonly string[] {
  const because = {
    "no such verdict": "no verdict has that name",
    holds: "it holds, so nothing needs accepting",
    "not a failure": "only failures can be accepted",
  } as const;
  return idle.map(({ acceptance, why }) => wrapped(`The file accepts "${acceptance.verdict}", but ${because[why]}.`));
}

function signed(time: Fs): string {
  const text = nsText(time);
  return time > 0 ? `+${text}` : text;
}

function wrapped(text: string): string {
  return wrapText(text, WIDTH).join("\n");
}

function hanging(lead: string, text: string): string {
  return wrapText(text, WIDTH - lead.length)
    .map((line, index) => (index === 0 ? lead : " ".repeat(lead.length)) + line)
    .join("\n");
}

function paragraphs(parts: readonly string[]): string {
  return parts.filter((part) => part !== "").join("\n\n");
}
