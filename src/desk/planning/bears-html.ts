import { type Markup, markup, scrolling, stateMark } from "../../paper/index.js";
import { type MarginRow, type PlotPoint, drawMarginCurve, drawMarginRows } from "../../paper/margin-plot.js";
import { movedText, triedMargin, whatIfNote, whatIfSentences } from "../../paper/what-if-words.js";
import { type Curve, type Tried, type WhatIf, clockCurve, wireCurve } from "../../planning/index.js";
import { nsText } from "../../timing/index.js";

/** Width of a plot, in px: two stand side by side. */
const plotWidth = 320;

/** What a board bears: sentences, plots of the margin with their tables, and a table of all that was tried otherwise. */
export function bearsHtml(found: WhatIf): string {
  const { clock, wires, tried, now } = found;
  const curves = [
    ...(clock && clock.proved.length > 1 ? [{ of: clockCurve(clock), ...ofClock }] : []),
    ...(wires.proved.length > 1 ? [{ of: wireCurve(wires), ...ofWires }] : []),
  ];
  const asItIs: MarginRow = {
    label: "as it is",
    ...(now.tightest && { margin: now.tightest.margin / 1e6 }),
    words: now.tightest ? `${nsText(now.tightest.margin)} ns` : now.state,
  };
  const rows = (["ambient", "supply"] as const).map((what) => ({
    name: `bears-${what}`,
    title: what === "ambient" ? "Margin against the air temperature" : "Margin against the supply",
    rows: [asItIs, ...tried.filter(({ variation }) => variation.what === what).map(rowOf)],
  }));
  return markup`${whatIfSentences(found).map((text) => markup`<p>${text}</p>\n`)}
<div class="plots">
${curves.map(({ of, name, title, unit, scale }) => curveFigure(of, { name, title, unit, scale }))}
${rows.map(
  (plot) =>
    markup`<div><figure data-takeaway="${plot.name}"><figcaption>${plot.title}</figcaption>${scrolling(plot.title, drawMarginRows(plot, plotWidth))}</figure></div>\n`,
)}</div>
${triedTable(tried)}
<p class="quiet small">${whatIfNote(found)}</p>
`.text;
}

const ofClock = {
  name: "bears-clock",
  title: "Margin against the oscillator's frequency",
  unit: "MHz",
  scale: 1e6,
};
const ofWires = { name: "bears-wires", title: "Margin against the delay of the longest wire", unit: "ns", scale: 1e6 };

interface PlotWords {
  readonly name: string;
  readonly title: string;
  readonly unit: string;
  readonly scale: number;
}

/** The plot of a curve, and what was proved of it as a table. */
function curveFigure(curve: Curve, { name, title, unit, scale }: PlotWords): Markup {
  const points = (list: Curve["line"]): readonly PlotPoint[] =>
    list.map(({ value, margin }) => ({ at: value / scale, margin: margin / 1e6 }));
  const proved = points(curve.proved);
  const plot = { name, title, unit, now: curve.now / scale, proved, line: points(curve.line) };
  return markup`<div><figure data-takeaway="${name}"><figcaption>${title}</figcaption>${scrolling(title, drawMarginCurve(plot, plotWidth))}
<details><summary>As a table</summary><table class="tight own" data-takeaway="${name}-table"><thead><tr><th scope="col" class="number">${unit}</th><th scope="col" class="number">margin as proved, ns</th></tr></thead><tbody>
${proved.map(({ at, margin }) => markup`<tr><td class="number">${at.toFixed(3)}</td><td class="number">${margin.toFixed(2).replace("-", "−")}</td></tr>\n`)}</tbody></table></details></figure></div>
`;
}

function rowOf(one: Tried): MarginRow {
  const { variation, state, tightest, isWithin, lacking, levels } = one;
  const fails = levels.length > 0;
  const words = lacking
    ? "no figures"
    : fails
      ? "levels fail"
      : state === "not tried"
        ? "not tried"
        : `${triedMargin(one)} ns, ${state}`;
  const margin = tightest && state !== "not covered" ? { margin: tightest.margin / 1e6 } : {};
  return { label: variation.value, ...margin, isLeast: isWithin, fails, words };
}

function triedTable(tried: readonly Tried[]): Markup {
  const rows = tried.map((one) => {
    const { variation, state, failing, tightest } = one;
    const shown = state === "not tried" ? markup`<span class="quiet">not tried</span>` : stateMark(state);
    return markup`<tr><td>${variation.what}</td><td class="keep">${variation.value}</td><td class="keep">${shown}${failing > 0 && markup` ${failing}`}</td><td class="number">${triedMargin(one).replace("-", "−")}</td><td>${tightest?.name ?? ""}</td><td>${movedText(one).replaceAll(" -", " −")}</td></tr>\n`;
  });
  return scrolling(
    "What was tried otherwise",
    markup`<table class="tight verdicts" data-takeaway="what-if">
<caption>One thing otherwise at a time</caption>
<thead><tr><th scope="col">what</th><th scope="col">other</th><th scope="col">then</th><th scope="col" class="number">margin, ns</th><th scope="col">at</th><th scope="col">tightest that it moves, ns</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`,
  );
}
