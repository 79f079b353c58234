import {
  type ElectricalAccount,
  type ElectricalFindings,
  type ElectricalVerdict,
  electricalSummary,
} from "../electrical/index.js";
import { textTable } from "../paper/index.js";
import { measure, printMeasure } from "../quantity/index.js";
import { groupState } from "../verdict/index.js";
import { type Row, WIDTH, citedText, hanging, marks, paragraphs, wrapped } from "./prove-layout.js";

/** Groups that do not hold and are listed one by one; the rest are counted. */
const MOST_BAD = 16;

export function electricalAnswer(findings: ElectricalFindings): string {
  return electricalSummary(findings).answer;
}

/** What the table of electrical verdicts shows, and what it leaves out. */
export interface ElectricalRows {
  readonly rows: readonly Row[];
  readonly shown: readonly ElectricalVerdict[];
  /** Groups that hold and that a tighter one stands for. */
  readonly hidden: number;
  /** Groups that do not hold and are not shown. */
  readonly left: number;
  /** The name of the worst verdict. */
  readonly first?: string;
}

/** What does not hold and the tightest place of each rule, or every verdict. */
export function electricalRows(findings: ElectricalFindings, which: "summary" | "all" = "summary"): ElectricalRows {
  const { verdicts } = findings;
  const first = verdicts[0]?.name;
  const named = { ...(first !== undefined && { first }) };
  if (which === "all") {
    const rows = verdicts.map((verdict) => row(groupState(verdict), verdict.name, verdict));
    return { rows, shown: verdicts, hidden: 0, left: 0, ...named };
  }
  const { groups, hidden } = electricalSummary(findings);
  const bad = groups.filter(({ state }) => state !== "holds");
  const shown = [...bad.slice(0, MOST_BAD), ...groups.filter(({ state }) => state === "holds")];
  return {
    rows: shown.map(({ state, label, worst }) => row(state, label, worst)),
    shown: shown.map(({ worst }) => worst),
    hidden,
    left: Math.max(0, bad.length - MOST_BAD),
    ...named,
  };
}

function row(state: string, label: string, verdict: ElectricalVerdict): Row {
  const { required, available, margin, quantity, chip, pin, reference, net } = verdict;
  const figure = (amount: number | undefined) => (amount === undefined ? "" : printMeasure(measure(quantity, amount)));
  const place = `${chip} ${pin}`.trim();
  const between = reference === "" ? place : `${reference} to ${place === "" ? net : place}`;
  return [state, `${label}${marks(verdict)}`, figure(required), figure(available), figure(margin), "", between];
}

/** What helps and is no verdict, a point each; empty where there is none. */
export function adviceText({ advice }: ElectricalFindings): string {
  if (advice.length === 0) return "";
  return ["Advice, which counts neither way:", ...advice.map(({ text }) => hanging("- ", text))].join("\n");
}

/** The account of one verdict: what is asked, the arithmetic line by line, remedies, and where each figure was read. */
export function electricalAccountText({ heading, sentences, lines, sources }: ElectricalAccount): string {
  const rows = lines.map(({ text, working, figure, mark, source }) => [
    text,
    working,
    figure ? printMeasure(figure) : "",
    [mark, source === undefined ? "" : `[${source}]`].filter((part) => part !== "").join(" "),
  ]);
  const columns = [
    { head: "figure", most: 56 },
    { head: "", most: 20 },
    { head: "", align: "right" },
    { head: "", most: WIDTH - 56 - 20 - 12 },
  ] as const;
  return paragraphs([
    heading,
    sentences.map(wrapped).join("\n"),
    rows.length === 0 ? "" : textTable(columns, rows),
    citedText(sources),
  ]);
}
