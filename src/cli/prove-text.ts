import { textTable } from "../paper/index.js";
import type { Fs } from "../quantity/index.js";
import { type Account, type Verdict, limitsInShort, nsText, summary } from "../timing/index.js";
import { groupState } from "../verdict/index.js";
import { adviceText, electricalAnswer, electricalRows } from "./prove-electrical-text.js";
import { type Row, citedText, idleText, marks, marksUnder, paragraphs, verdictTable, wrapped } from "./prove-layout.js";
import type { Judgement } from "../judging/index.js";

/** Groups that do not hold and are listed one by one; the rest are counted. */
export const MOST_BAD = 16;

/** The answers, what does not hold, the tightest place of each rule, and what the verdicts do not see. */
export function judgementText({ proof, electrical, idleAcceptances }: Judgement, file: string): string {
  const { answer, groups, hidden } = summary(proof);
  const bad = groups.filter(({ state }) => state !== "holds");
  const shown = [...bad.slice(0, MOST_BAD), ...groups.filter(({ state }) => state === "holds")];
  const levels = electricalRows(electrical);
  const [left, more] = [bad.length - MOST_BAD, hidden + levels.hidden];
  const counted = [
    ...(left + levels.left > 0
      ? [`${left + levels.left} more ${left + levels.left === 1 ? "group does" : "groups do"} not hold`]
      : []),
    ...(more > 0 ? [`${more} more ${more === 1 ? "group holds" : "groups hold"} with more to spare`] : []),
  ];
  const firsts = [groups[0]?.worst.name, levels.first].filter((name) => name !== undefined);
  return paragraphs([
    [wrapped(answer), wrapped(electricalAnswer(electrical))].join("\n"),
    wrapped(proof.coverage?.text ?? ""),
    verdictTable(
      "timing rule and place",
      shown.map(({ label, state, worst }) => row(state, label, worst)),
    ),
    verdictTable("electrical rule and place", levels.rows),
    notesUnder(
      shown.map(({ worst }) => worst),
      levels.shown,
    ),
    counted.length === 0 ? "" : wrapped(`${counted.join("; ")}: --all lists every verdict.`),
    firsts
      .map((name, index) => `${index === 0 ? "Why: " : "     "}npx dotwright prove ${file} --why "${name}"`)
      .join("\n"),
    ...idleText(idleAcceptances),
    adviceText(electrical),
    wrapped(limitsInShort),
  ]);
}

/** The answers and every verdict on a line, worst first. */
export function everyVerdictText({ proof, electrical, idleAcceptances }: Judgement): string {
  const { verdicts } = proof;
  return paragraphs([
    [wrapped(summary(proof).answer), wrapped(electricalAnswer(electrical))].join("\n"),
    wrapped(proof.coverage?.text ?? ""),
    verdictTable(
      "timing rule and place",
      verdicts.map((verdict) => row(groupState(verdict), verdict.name, verdict)),
    ),
    verdictTable("electrical rule and place", electricalRows(electrical, "all").rows),
    notesUnder(verdicts, electrical.verdicts),
    ...idleText(idleAcceptances),
    adviceText(electrical),
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
  return paragraphs([
    heading,
    sentences.map(wrapped).join("\n"),
    rows.length === 0 ? "" : textTable(columns, rows),
    lines.some(({ mark }) => mark.includes("shared")) ? "shared: on both ways, so it counts on neither." : "",
    citedText(sources),
    wrapped(limitsInShort),
  ]);
}

function row(state: string, label: string, verdict: Verdict): Row {
  const { required, available, margin, typicalMargin, occasion } = verdict;
  const figure = (time: Fs | undefined) => (time === undefined ? "" : nsText(time));
  const typical = verdict.state === "fails" ? figure(typicalMargin) : "";
  const name = `${label}${marks(verdict)}`;
  return [state, name, figure(required), figure(available), figure(margin), typical, occasion?.text ?? ""];
}

function notesUnder(timing: readonly Verdict[], electrical: Judgement["electrical"]["verdicts"]): string {
  return [
    "Times in nanoseconds; lines, dots and periods count from 0 at power-up.",
    ...marksUnder([...timing, ...electrical]),
    ...(timing.some(({ state, typicalMargin }) => state === "fails" && typicalMargin !== undefined)
      ? ["typical: the margin at typical delays, for information only."]
      : []),
  ].join("\n");
}

function signed(time: Fs): string {
  const text = nsText(time);
  return time > 0 ? `+${text}` : text;
}
