import type { Fs } from "../quantity/index.js";
import { type Markup, markup, type Piece } from "./markup.js";
import type { SourceList } from "./source-list.js";
import type { ChainStepView, VerdictState, VerdictView } from "./verdict-view.js";

/** A sign that can be told apart without colour: an open circle, a filled triangle, a dashed circle. */
export function stateSign(state: VerdictState): Markup {
  const [sign, accent] =
    state === "holds"
      ? (["○", "holds"] as const)
      : state === "fails"
        ? (["▲", "fails"] as const)
        : (["◌", "gap"] as const);
  return markup`<span class="sign ${accent}" aria-hidden="true">${sign}</span>`;
}

/** The sign and the word of a state. */
export function stateMark(state: VerdictState): Markup {
  if (state === "not settled" || state === "not covered") {
    return markup`<span class="state gap"><span class="word">${state}</span></span>`;
  }
  return markup`<span class="state ${state}">${stateSign(state)} ${state}</span>`;
}

const head = markup`<thead><tr>
<th scope="col">Verdict</th><th scope="col">Rule</th><th scope="col">Place</th>
<th scope="col" class="number">required<br>ns</th><th scope="col" class="number">available<br>ns</th><th scope="col" class="number">margin<br>ns</th>
<th scope="col" class="number">times<br>checked</th><th scope="col">worst at</th>
</tr></thead>
`;

/** Verdicts with the chain that sets each margin under them, its figures referring to their sources. */
export function verdictTable(caption: string, verdicts: readonly VerdictView[], sources: SourceList): Markup {
  const bodies = verdicts.map((verdict) => {
    const chains = [
      ["signal", verdict.launch],
      ["clock", verdict.capture],
    ] as const;
    const under = chains.map(([which, steps]) => steps.length > 0 && chainRow(which, steps, sources));
    const note = verdict.note !== "" && markup`<tr class="under"><td></td><td colspan="7">${verdict.note}</td></tr>\n`;
    return markup`<tbody class="together">\n${row(verdict)}${under}${note}</tbody>\n`;
  });
  return markup`<table>\n<caption>${caption}</caption>\n${head}${bodies}</table>\n`;
}

/** Verdicts on one line each, without their chains. */
export function plainVerdictTable(caption: string, verdicts: readonly VerdictView[]): Markup {
  return markup`<table class="tight lines">\n<caption>${caption}</caption>\n${head}<tbody>\n${verdicts.map(row)}</tbody>\n</table>\n`;
}

function row(verdict: VerdictView): Markup {
  const { state, rule, place, placeNote, required, available, margin, count, moment } = verdict;
  const note = placeNote !== "" && markup` <span class="quiet">${placeNote}</span>`;
  return markup`<tr><td>${stateMark(state)}</td><td>${rule}</td><td><span class="mono">${place}</span>${note}</td>${figure(required)}${figure(available)}${figure(margin)}<td class="number">${count.toLocaleString("en")}</td><td class="keep">${moment}</td></tr>\n`;
}

function figure(time: Fs | undefined): Markup {
  return markup`<td class="number">${time === undefined ? "–" : nanoseconds(time)}</td>`;
}

/** Two decimals, so that columns stand on their points; with a true minus. */
export function nanoseconds(time: Fs): string {
  return (time / 1e6).toFixed(2).replace("-", "−");
}

function chainRow(which: string, steps: readonly ChainStepView[], sources: SourceList): Markup {
  const items = steps.map(({ label, min, max, source, assumed, fromMemory }): Piece => {
    const least = `${short(min)}${assumed ? "*" : ""}`;
    const limits = min === max && !assumed ? short(max) : `${least} to ${short(max)}`;
    const memory = fromMemory ? " (from memory)" : "";
    return markup`<li>${label} <span class="mono">${limits} ns</span>${memory} ${sources.refer(source)}</li>`;
  });
  const sum = (pick: (step: ChainStepView) => Fs) => steps.reduce((total, step) => total + pick(step), 0) as Fs;
  const all =
    steps.length > 1 &&
    markup`<li>in all <span class="mono">${short(sum((s) => s.min))} to ${short(sum((s) => s.max))} ns</span></li>`;
  return markup`<tr class="under"><td></td><td>${which}</td><td colspan="6"><ol class="chain">${items}${all}</ol></td></tr>\n`;
}

function short(time: Fs): string {
  return String(Number((time / 1e6).toFixed(2))).replace("-", "−");
}
