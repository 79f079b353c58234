import {
  type ElectricalFindings,
  type ElectricalVerdict,
  electricalSummary,
  explainElectrical,
} from "../electrical/index.js";
import { measure, printMeasure } from "../quantity/index.js";
import { groupState, groupsOf } from "../verdict/index.js";
import { type Markup, markup } from "./markup.js";
import { scrolling, section } from "./page.js";
import type { SourceList } from "./source-list.js";
import { stateMark } from "./verdict-table.js";

/** Groups that do not hold and are shown with their arithmetic; the rest stand in the table of every check. */
const mostBad = 40;

const head = markup`<thead><tr>
<th scope="col">Verdict</th><th scope="col">Rule and place</th>
<th scope="col" class="number">required</th><th scope="col" class="number">available</th><th scope="col" class="number">margin</th>
<th scope="col">worst at</th>
</tr></thead>
`;

/** Levels, loads and supply: what does not hold, and the tightest place of each rule, each with its arithmetic. */
export function electricalPart(findings: ElectricalFindings, sources: SourceList): Markup {
  const { groups } = electricalSummary(findings);
  const bad = groups.filter(({ state }) => state !== "holds");
  const good = groups.filter(({ state }) => state === "holds");
  const rows = (shown: typeof groups) =>
    shown.map(({ label, worst }) => [row(label, worst), under(worst, sources)]).map(together);
  const hidden = bad.length - mostBad;
  return section({
    id: "levels",
    heading: "Do levels and loads fit?",
    notes: markup`<p>Under each verdict stands the arithmetic of its worst place.</p>`,
    content: [
      scrolling("Tables of levels and loads", [
        groups.length === 0 && markup`<p>There is nothing to judge in this circuit.</p>\n`,
        bad.length > 0 && table("What does not hold", rows(bad.slice(0, mostBad))),
        hidden > 0 && markup`<p>${hidden} more stand in the table of every check.</p>\n`,
        good.length > 0 && table("What holds: the tightest place of each rule", rows(good)),
      ]),
      findings.advice.length > 0 &&
        markup`<ul>\n${findings.advice.map(({ text, source }) => markup`<li>${text} ${sources.refer(source)}</li>\n`)}</ul>\n`,
    ],
  });
}

/** Every group of electrical verdicts on a line, its worst: a board has hundreds of nets. */
export function everyElectricalCheck({ verdicts }: ElectricalFindings): Markup {
  const groups = groupsOf(verdicts);
  return section({
    id: "electrical-checks",
    heading: "Every check of levels and loads",
    newSheet: true,
    content: scrolling(
      "Table of every check of levels and loads",
      markup`<table class="tight">\n<caption>Each rule at the nets of each pair of families, worst first</caption>\n${head}<tbody>\n${groups.map(({ label, worst }) => row(label, worst))}</tbody>\n</table>\n`,
    ),
  });
}

function table(caption: string, bodies: readonly Markup[]): Markup {
  return markup`<table>\n<caption>${caption}</caption>\n${head}${bodies}</table>\n`;
}

function together(rows: readonly Markup[]): Markup {
  return markup`<tbody class="together">\n${rows}</tbody>\n`;
}

function row(label: string, verdict: ElectricalVerdict): Markup {
  const { quantity, required, available, margin, reference, chip, pin, net } = verdict;
  const figure = (amount: number | undefined) =>
    markup`<td class="number">${amount === undefined ? "–" : printMeasure(measure(quantity, amount)).replace("-", "−")}</td>`;
  const place = `${chip} ${pin}`.trim();
  const between = reference === "" ? place : `${reference} to ${place === "" ? net : place}`;
  return markup`<tr><td>${stateMark(verdict.state)}</td><td>${label}</td>${figure(required)}${figure(available)}${figure(margin)}<td class="mono">${between}</td></tr>\n`;
}

/** What is asked, what helps, and the arithmetic in one paragraph. */
function under(verdict: ElectricalVerdict, sources: SourceList): Markup {
  const { sentences } = explainElectrical(verdict);
  const accepted = groupState(verdict) === "accepted" ? "Accepted. " : "";
  const items = verdict.reckoning.map(({ text, working, figure, mark, source }) => {
    const number =
      figure && markup` <span class="mono">${working !== undefined && `${working} = `}${printMeasure(figure)}</span>`;
    return markup`<li>${text}${number}${mark !== undefined && ` (${mark})`} ${sources.refer(source ?? "")}</li>`;
  });
  return markup`<tr class="under"><td></td><td colspan="5">${accepted}${sentences.join(" ")}${items.length > 0 && markup`<ol class="chain">${items}</ol>`}</td></tr>\n`;
}
