import { textTable, wrapText } from "../paper/index.js";
import type { Fs } from "../quantity/index.js";
import {
  type Account,
  type Group,
  type IdleAcceptance,
  type Proof,
  type Verdict,
  limitsInShort,
  nsText,
  summary,
} from "../timing/index.js";

/** Columns of the text, in characters. */
const WIDTH = 100;
const MOST_LABEL = 34;
/** Groups that do not hold and are listed one by one; the rest are counted. */
const MOST_BAD = 16;

/** The answer, what does not hold, the tightest place of each rule, and what the verdicts do not see. */
export function proofText(proof: Proof, file: string): string {
  const { answer, groups, hidden } = summary(proof);
  const bad = groups.filter(({ state }) => state !== "holds");
  const shown = [...bad.slice(0, MOST_BAD), ...groups.filter(({ state }) => state === "holds")];
  const left = bad.length - MOST_BAD;
  const more = [
    ...(left > 0 ? [`${left} more groups do not hold`] : []),
    ...(hidden > 0 ? [`${hidden} more groups hold with more to spare`] : []),
  ];
  const [first] = groups;
  return paragraphs([
    wrapped(answer),
    shown.length === 0 ? "" : groupTable(shown),
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
  const rows = verdicts.map((verdict) => [
    verdict.accepted && !verdict.accepted.lapsed ? "accepted" : verdict.state,
    `${verdict.name}${marks(verdict)}`,
    ...figures(verdict),
    verdict.count.toLocaleString("en"),
    verdict.occasion?.text ?? "",
  ]);
  const columns = [...verdictColumns("verdict"), { head: "checked", align: "right" }, { head: "worst at" }] as const;
  return paragraphs([
    wrapped(summary(proof).answer),
    rows.length === 0 ? "" : textTable(columns, rows),
    marksUnder(verdicts),
    ...idleText(proof.idleAcceptances),
    wrapped(limitsInShort),
  ]);
}

/** The account of one verdict: what is asked, the arithmetic line by line, and where each figure was read. */
export function accountText({ heading, sentences, lines, sources }: Account): string {
  const rows = lines.map(({ text, limits, adds, sum, mark, source }) => [
    adds === undefined && limits === "" && sum === undefined ? text : `  ${text}`,
    limits,
    adds === undefined ? "" : signed(adds),
    sum === undefined ? "" : nsText(sum),
    [mark, source === undefined ? "" : `[${source}]`].filter((part) => part !== "").join(" "),
  ]);
  const columns = [
    { head: "ns", most: 46 },
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

function groupTable(groups: readonly Group[]): string {
  const rows = groups.map(({ label, state, worst, verdicts }) => [
    state,
    `${label}${marks(worst)}`,
    ...figures(worst),
    verdicts.length.toLocaleString("en"),
    worst.occasion?.text ?? "",
  ]);
  return textTable(
    [...verdictColumns("rule and place"), { head: "places", align: "right" }, { head: "worst at" }],
    rows,
  );
}

const verdictColumns = (head: string) =>
  [
    { head: "state" },
    { head, most: MOST_LABEL },
    { head: "required", align: "right" },
    { head: "available", align: "right" },
    { head: "margin", align: "right" },
  ] as const;

function figures({ required, available, margin }: Verdict): readonly string[] {
  return [required, available, margin].map((time) => (time === undefined ? "" : nsText(time)));
}

/** `*` for an assumed minimum, `†` for a figure from memory. */
function marks({ restsOn }: Verdict): string {
  return restsOn.map((weakness) => (weakness === "assumed minimum" ? " *" : " †")).join("");
}

function marksUnder(verdicts: readonly Verdict[]): string {
  const rests = new Set(verdicts.flatMap(({ restsOn }) => restsOn));
  const typical = verdicts.flatMap(({ name, state, typicalMargin }) =>
    state === "fails" && typicalMargin !== undefined ? [`${name} ${nsText(typicalMargin)}`] : [],
  );
  return [
    "Times in nanoseconds.",
    ...(rests.has("assumed minimum") ? ["* rests on a least delay that no sheet states."] : []),
    ...(rests.has("from memory") ? ["† rests on a figure recalled, not read."] : []),
    ...(typical.length > 0
      ? [wrapped(`At typical delays, for information only, the margin is: ${typical.slice(0, MOST_BAD).join("; ")}.`)]
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
