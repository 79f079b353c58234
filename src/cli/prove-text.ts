import { textTable } from "../paper/index.js";
import type { Fs } from "../quantity/index.js";
import { isAttained } from "../evidence/index.js";
import { type Account, type Proof, type Verdict, limitsInShort, nsText, summary } from "../timing/index.js";
import { groupState } from "../verdict/index.js";
import { adviceText, electricalAnswer, electricalRows } from "./prove-electrical-text.js";
import {
  type Row,
  citedText,
  hanging,
  idleText,
  marks,
  marksUnder,
  paragraphs,
  verdictTable,
  wrapped,
} from "./prove-layout.js";
import type { Judgement } from "../judging/index.js";

/** Groups that do not hold and are listed one by one; the rest are counted. */
export const MOST_BAD = 16;

/** The answers, what does not hold, the tightest place of each rule, and what the verdicts do not see; with a remark on them. */
export function judgementText(judgement: Judgement, file: string, took: number, remark = ""): string {
  const { proof, electrical, idleAcceptances } = judgement;
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
    [wrapped(`${proof.coverage?.text ?? ""} ${solverText(judgement.exact, took)}`.trim()), remark].join("\n").trim(),
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

/** The answers and every verdict on a line, worst first; with a remark on them. */
export function everyVerdictText(judgement: Judgement, took: number, remark = ""): string {
  const { proof, electrical, idleAcceptances } = judgement;
  const { verdicts } = proof;
  return paragraphs([
    [wrapped(summary(proof).answer), wrapped(electricalAnswer(electrical))].join("\n"),
    [wrapped(`${proof.coverage?.text ?? ""} ${solverText(judgement.exact, took)}`.trim()), remark].join("\n").trim(),
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

/** Margins that are listed by name because no board was found that has them. */
const MOST_LEFT = 8;

/** Of how many margins some board has exactly the margin, and which those are of which none was found. */
export function attainedText({ verdicts }: Proof): string {
  const timed = verdicts.filter(({ margin, chains }) => margin !== undefined && chains !== undefined);
  const left = timed.filter((verdict) => !isAttained(verdict)).map(({ name }) => name);
  if (left.length === 0) return wrapped(`Each of the ${timed.length} margins is that of a board within all limits.`);
  const names = [...left.slice(0, MOST_LEFT), ...(left.length > MOST_LEFT ? ["and others"] : [])].join(", ");
  return wrapped(
    `${timed.length - left.length} of ${timed.length} margins are those of a board within all limits. The others are bounds: ` +
      `no board has less, and none was found with exactly so much: ${names}.`,
  );
}

/** Lines of a certificate that are printed; `--json` has it whole. */
const MOST_CASE_LINES = 60;

function casesText(cases: readonly string[]): string {
  const shown = cases.length > MOST_CASE_LINES ? cases.slice(0, MOST_CASE_LINES - 1) : cases;
  const left = cases.length - shown.length;
  const lines = shown.map((line) => {
    const text = line.trimStart();
    return hanging(" ".repeat(line.length - text.length), text);
  });
  return [...lines, ...(left > 0 ? [`... and ${left} lines more: --json has the whole certificate.`] : [])].join("\n");
}

/** How much was left to a solver. `took` is the whole judgement's time, in milliseconds. */
function solverText({ decided, solverCalls, solverTime }: Judgement["exact"], took: number): string {
  if (solverCalls === 0) return "No solver was called.";
  const verdicts = `${decided} ${decided === 1 ? "verdict was" : "verdicts were"} decided case by case`;
  const calls = `${solverCalls.toLocaleString("en")} ${solverCalls === 1 ? "call" : "calls"} of a solver`;
  return `${verdicts}, with ${calls} of linear programmes, ${((100 * solverTime) / took).toFixed(1)} % of the time.`;
}

/** The account of one verdict: what is asked, the arithmetic line by line, where each figure was read, and how to see it. */
export function accountText(
  { heading, sentences, lines, sources, cases }: Account,
  recipe: readonly string[] = [],
): string {
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
    casesText(cases),
    citedText(sources),
    recipe.length === 0 ? "" : ["To see it on the bench:", ...recipe].map(wrapped).join("\n"),
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
