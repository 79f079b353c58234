import type { Circuit } from "../../circuit/index.js";
import { type ElectricalFindings, type ElectricalVerdict, electricalSummary } from "../../electrical/index.js";
import type { Witness } from "../../evidence/index.js";
import {
  electricalFindingsAnswer,
  type Markup,
  markup,
  memoryCycle,
  proofAnswer,
  scrolling,
  stateMark,
  timingFigure,
} from "../../paper/index.js";
import { type Fs, measure, printMeasure } from "../../quantity/index.js";
import { limitsInShort, nsText, type Proof, summary, type Verdict } from "../../timing/index.js";
import type { GroupState } from "../../verdict/index.js";
import type { AnswerLine } from "../protocol.js";

/** What is known so far of the timing and of levels and loads. */
export interface Judged {
  /** The circuit with its delays under load. */
  readonly circuit: Circuit;
  readonly proof: Proof;
  readonly electrical?: ElectricalFindings;
  readonly witnesses?: ReadonlyMap<string, Witness>;
}

/** Does every slot fit? The memory cycle, and every rule with its margin, worst first. */
export function slotsPage(
  { circuit, proof, electrical }: Judged,
  width: number,
): {
  readonly lines: readonly AnswerLine[];
  readonly html: string;
} {
  const timing = proofAnswer(proof);
  const levels = electrical && electricalFindingsAnswer(electrical);
  const lines = [timing, ...(levels ? [levels] : [])].map(({ state, answer }) => ({
    ...(state && { state }),
    text: answer,
  }));
  const cycle = memoryCycle(circuit, proof.verdicts);
  const html = markup`${
    cycle &&
    timingFigure(cycle, {
      name: "memory-cycle",
      width,
      label: "Timing drawing of the memory cycle",
      attributes: markup` data-takeaway="memory-cycle" data-wider="memory-cycle"`,
    })
  }<p class="quiet">${proof.coverage?.text ?? ""}</p>
<div class="chosen" tabindex="-1" aria-live="polite"></div>
${lines.some(({ state }) => state === "fails") && mending}${verdictList(proof)}${electrical && electricalList(electrical)}
<h3>What the board bears</h3>
<div class="bears-place"><p class="tools"><button type="button">Try it otherwise</button> <span class="quiet">Clock, wires, air, supply and other parts, each proved: a minute or two for a large board.</span></p></div>
<h3>What moved</h3>
<p>What moved since <button type="button" data-compare="saved">the saved text</button> or <label class="button">a file<input type="file" accept=".yaml,.yml" data-compare="file"></label></p>
<div class="compared" aria-live="polite"></div>
<p class="quiet small">${limitsInShort}</p>
`;
  return { lines, html: html.text };
}

/** Where changes that mend a failure are looked for, by a script that the button fetches. */
const mending = markup`<h3>What would mend it</h3>
<div class="mends-place"><p class="tools"><button type="button">Look for what mends it</button> <span class="quiet">Each change is proved.</span></p></div>
`;

function verdictList(proof: Proof): Markup {
  const { groups } = summary(proof);
  const bodies = groups.map(({ label, state, worst }) =>
    row(label, state, worst.name, [worst.required, worst.available, worst.margin].map(nanoseconds), momentOf(worst)),
  );
  return table("rules", "Rules of timing, worst first, in ns", bodies, groups.length);
}

function electricalList(findings: ElectricalFindings): Markup {
  const { groups } = electricalSummary(findings);
  const bodies = groups.map(({ label, state, worst }) => row(label, state, worst.name, amounts(worst), placeOf(worst)));
  const advice = findings.advice.map(({ text }) => markup`<li>${text}</li>\n`);
  return markup`${table("levels", "Levels, loads and supply, worst first", bodies, groups.length)}${
    advice.length > 0 && markup`<h3>Advice</h3>\n<ul>\n${advice}</ul>\n`
  }`;
}

function table(id: string, caption: string, bodies: readonly Markup[], count: number): Markup {
  if (count === 0) return markup`<p>There is nothing to judge in this circuit.</p>\n`;
  return scrolling(
    caption,
    markup`<table class="tight verdicts" data-takeaway="${id}">
<caption>${caption}. Choose one to see how it comes about.</caption>
<thead><tr><th scope="col">verdict</th><th scope="col">rule and place</th><th scope="col" class="number">required</th><th scope="col" class="number">available</th><th scope="col" class="number">margin</th><th scope="col">worst at</th></tr></thead>
<tbody>
${bodies}</tbody>
</table>
`,
  );
}

function row(label: string, state: GroupState, name: string, figures: readonly string[], at: string): Markup {
  const cells = figures.map((figure) => markup`<td class="number">${figure}</td>`);
  const shown = state === "accepted" ? markup`<span class="state">accepted</span>` : stateMark(state);
  return markup`<tr><td>${shown}</td><td><button type="button" class="choose" data-verdict="${name}">${label}</button></td>${cells}<td>${at}</td></tr>
`;
}

function nanoseconds(time: Fs | undefined): string {
  return time === undefined ? "–" : nsText(time).replace("-", "−");
}

function momentOf({ occasion }: Verdict): string {
  return occasion?.text ?? "";
}

function amounts({ quantity, required, available, margin }: ElectricalVerdict): readonly string[] {
  return [required, available, margin].map((amount) =>
    amount === undefined ? "–" : printMeasure(measure(quantity, amount)).replace("-", "−"),
  );
}

function placeOf({ reference, chip, pin, net }: ElectricalVerdict): string {
  const place = `${chip} ${pin}`.trim() || net;
  return reference === "" ? place : `${reference} to ${place}`;
}
