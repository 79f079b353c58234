import { type Judgement, type MovedVerdict, compareJudgements } from "../../judging/index.js";
import { markup, scrolling, stateMark } from "../../paper/index.js";
import { type Measure, printMeasure } from "../../quantity/index.js";

/** Rows of the table; the rest are counted. */
const MOST_ROWS = 60;

/** What is not the same in another version and in the one on the desk, and which margins it moved. */
export function comparedHtml(before: Judgement, now: Judgement, other: string): string {
  const { changes, moved, unmoved } = compareJudgements(before, now);
  if (changes.length === 0 && moved.length === 0) {
    return markup`<p>${other} is the same circuit, and all ${unmoved} verdicts are the same.</p>\n`.text;
  }
  const worse = moved.filter(({ isWorse }) => isWorse).length;
  const rows = moved.slice(0, MOST_ROWS).map(row);
  const left = moved.length - rows.length;
  const said = `${moved.length} ${moved.length === 1 ? "verdict" : "verdicts"} moved, ${worse} for the worse; ${unmoved} are the same.`;
  return markup`<p>From ${other} to what stands on the left: ${said}</p>
<ul>\n${changes.map(({ text }) => markup`<li>${text}</li>\n`)}</ul>
${
  rows.length > 0 &&
  scrolling(
    "Verdicts that moved",
    markup`<table class="tight verdicts" data-takeaway="moved">
<caption>What moved, losses first</caption>
<thead><tr><th scope="col">state</th><th scope="col">verdict</th><th scope="col" class="number">before</th><th scope="col" class="number">now</th><th scope="col" class="number">moved</th><th scope="col">changes on its way</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`,
  )
}${left > 0 && markup`<p>${left} more moved less or for the better.</p>\n`}`.text;
}

function row({ name, before, after, marginBefore, marginAfter, moved, because }: MovedVerdict) {
  const was = before === undefined ? "new" : before === after ? "" : `${before} before`;
  const cause =
    because.length > 0 ? because.map(({ text }) => text).join("; ") : "elsewhere: a load, the supply or another path";
  return markup`<tr><td>${after ? stateMark(after) : "gone"}${was !== "" && markup` <span class="quiet">${was}</span>`}</td><td>${name}</td><td class="number">${print(marginBefore)}</td><td class="number">${print(marginAfter)}</td><td class="number">${moved && moved.amount > 0 && "+"}${print(moved)}</td><td>${cause}</td></tr>\n`;
}

function print(figure: Measure | undefined): string {
  return figure ? printMeasure(figure).replace("-", "−") : "–";
}
