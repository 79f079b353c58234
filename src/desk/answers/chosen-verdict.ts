import { explainElectrical } from "../../electrical/index.js";
import { chainDrawing, drawCycle, type Markup, markup, scrolling, timingTable } from "../../paper/index.js";
import { printMeasure } from "../../quantity/index.js";
import { explain, nsText, type Verdict } from "../../timing/index.js";
import type { Judged } from "./slots-answer.js";

/** How one verdict comes about: in words, as a drawing, and line by line with its sources. */
export function chosenVerdict(judged: Judged, name: string, width: number): Markup {
  const timing = judged.proof.verdicts.find((verdict) => verdict.name === name);
  if (timing) return timingAccount(judged, timing, width);
  const electrical = judged.electrical?.verdicts.find((verdict) => verdict.name === name);
  if (!electrical) return markup`<p>There is no verdict ${name} any more.</p>\n`;
  const { heading, sentences, lines, sources } = explainElectrical(electrical);
  const rows = lines.map(
    ({ text, working, figure, mark, source }) =>
      markup`<tr><td>${text}</td><td class="number">${working ?? ""}</td><td class="number">${figure ? printMeasure(figure) : ""}</td><td>${[mark, source && `[${source}]`].filter(Boolean).join(" ")}</td></tr>\n`,
  );
  return markup`<h3>${heading}</h3>
<p>${sentences.join(" ")}</p>
${
  rows.length > 0 &&
  scrolling(
    "The arithmetic",
    markup`<table class="tight" data-takeaway="arithmetic"><thead><tr><th scope="col">step</th><th scope="col" class="number">working</th><th scope="col" class="number">figure</th><th scope="col">from</th></tr></thead>
<tbody>
${rows}</tbody></table>\n`,
  )
}${sourcesOf(sources)}`;
}

function timingAccount({ circuit, proof, witnesses }: Judged, verdict: Verdict, width: number): Markup {
  const { heading, sentences, lines, sources } = explain(verdict);
  const drawing = chainDrawing(circuit, verdict, proof.period);
  const rows = lines.map(
    ({ text, limits, adds, sum, mark, source }) =>
      markup`<tr><td>${text}</td><td class="number">${limits}</td><td class="number">${adds === undefined ? "" : signed(adds)}</td><td class="number">${sum === undefined ? "" : nsText(sum).replace("-", "−")}</td><td>${[mark, source === undefined ? "" : `[${source}]`].filter((part) => part !== "").join(" ")}</td></tr>\n`,
  );
  return markup`<h3>${heading}</h3>
<p>${sentences.join(" ")}</p>
${
  drawing &&
  markup`<figure data-takeaway="chain" data-wider="chain" data-of="${verdict.name}">
${scrolling("Timing drawing of this verdict", drawCycle(drawing, "chain", width).svg)}
<figcaption>${drawing.note ?? ""}</figcaption></figure>
<details><summary>The drawing as a table</summary>
${timingTable(drawing)}</details>
`
}${
    rows.length > 0 &&
    scrolling(
      "The arithmetic",
      markup`<table class="tight" data-takeaway="arithmetic"><thead><tr><th scope="col">step</th><th scope="col" class="number">least to most, ns</th><th scope="col" class="number">adds</th><th scope="col" class="number">sum</th><th scope="col">from</th></tr></thead>
<tbody>
${rows}</tbody></table>\n`,
    )
  }${witnesses?.has(verdict.name) && markup`<p>A board within all limits shows it: <code>dotwright simulate FILE --witness "${verdict.name}"</code> runs it.</p>\n`}${sourcesOf(sources)}`;
}

function signed(time: number): string {
  const text = nsText(time as never).replace("-", "−");
  return time > 0 ? `+${text}` : text;
}

function sourcesOf(sources: readonly string[]): Markup | false {
  return (
    sources.length > 0 &&
    markup`<ol class="small quiet">\n${sources.map((source) => markup`<li>${source}</li>\n`)}</ol>\n`
  );
}
