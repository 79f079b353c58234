import type { Circuit } from "../../circuit/index.js";
import { explainElectrical } from "../../electrical/index.js";
import { replay, stepValues, type Witness } from "../../evidence/index.js";
import { chainDrawing, type Markup, markup, scrolling, timingFigure, witnessDrawing } from "../../paper/index.js";
import { type Fs, printMeasure } from "../../quantity/index.js";
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
  const witness = witnesses?.get(verdict.name);
  const drawing = chainDrawing(circuit, verdict, proof.period);
  const rows = lines.map(
    ({ text, limits, adds, sum, mark, source }) =>
      markup`<tr><td>${text}</td><td class="number">${limits}</td><td class="number">${adds === undefined ? "" : signed(adds)}</td><td class="number">${sum === undefined ? "" : nsText(sum).replace("-", "−")}</td><td>${[mark, source === undefined ? "" : `[${source}]`].filter((part) => part !== "").join(" ")}</td></tr>\n`,
  );
  return markup`<h3>${heading}</h3>
<p>${sentences.join(" ")}</p>
${
  drawing &&
  timingFigure(drawing, {
    name: "chain",
    width,
    label: "Timing drawing of this verdict",
    attributes: markup` data-takeaway="chain" data-wider="chain" data-of="${verdict.name}"`,
  })
}${
    rows.length > 0 &&
    scrolling(
      "The arithmetic",
      markup`<table class="tight" data-takeaway="arithmetic"><thead><tr><th scope="col">step</th><th scope="col" class="number">least to most, ns</th><th scope="col" class="number">adds</th><th scope="col" class="number">sum</th><th scope="col">from</th></tr></thead>
<tbody>
${rows}</tbody></table>\n`,
    )
  }${witness && witnessFigure(circuit, verdict, witness, width)}${sourcesOf(sources)}`;
}

/** The failure as it happens on one board, run now. */
function witnessFigure(circuit: Circuit, verdict: Verdict, witness: Witness, width: number): Markup {
  const drawing = witnessDrawing(verdict, witness, replay(circuit, verdict, witness));
  const values = verdict.chains ? stepValues(verdict.chains, witness.scene.corner) : [];
  const rows = values.map(
    ({ step, value }) =>
      markup`<tr><td>${step.label}</td><td class="number">${nsText(step.min)} to ${nsText(step.max)}</td><td class="number">${nsText(value)}</td></tr>\n`,
  );
  return markup`<h3>A board on which it happens</h3>
<p>Every delay of this board is inside its limits. The command line runs it too, with a value change dump if you want one: <code>simulate --witness "${verdict.name}"</code></p>
${timingFigure(drawing, { name: "witness", width, label: "Timing drawing of one board", attributes: markup` data-takeaway="witness"` })}${
    rows.length > 0 &&
    markup`<table class="tight" data-takeaway="board"><thead><tr><th scope="col">delay</th><th scope="col" class="number">least to most, ns</th><th scope="col" class="number">this board</th></tr></thead>
<tbody>
${rows}</tbody></table>
`
  }`;
}

function signed(time: Fs): string {
  const text = nsText(time).replace("-", "−");
  return time > 0 ? `+${text}` : text;
}

function sourcesOf(sources: readonly string[]): Markup | false {
  return (
    sources.length > 0 &&
    markup`<ol class="small quiet">\n${sources.map((source) => markup`<li>${source}</li>\n`)}</ol>\n`
  );
}
