import { html, nothing, type TemplateResult } from "lit-html";
import { csvOf, takeAway } from "../take-away.js";
import type { PlanLine, PlanTold } from "./plan-protocol.js";
import type { PlanState } from "./plan-page.js";

/** What the reader can do with the plans. */
export interface FrontActions {
  look(number: number): void;
  write(number: number): void;
  showAll(): void;
  sortBy(order: string): void;
}

/** Orders of the plans, the best first. */
const orders: Readonly<Record<string, readonly [label: string, of: (plan: PlanLine) => number]>> = {
  chips: ["fewest chips", ({ chips }) => chips],
  margin: ["largest margin", ({ marginNs }) => -marginNs],
  dots: ["largest picture", ({ columns, rows }) => -columns * rows],
  colours: ["most colours", ({ colours }) => -colours],
  writes: ["fastest writes", ({ bytesPerSecond }) => -bytesPerSecond],
  wait: ["shortest wait", ({ longestWaitNs }) => longestWaitNs],
  raster: ["nearest to the raster", ({ deviationPercent }) => deviationPercent],
  memory: ["most memory left", ({ memoryLeft }) => -memoryLeft],
};

const count = (value: number) => value.toLocaleString("en");

/** The plans that no other beats, and what one of them comes to. */
export function frontPart(
  { plans, chosen, meeting }: Extract<PlanTold, { kind: "found" }>,
  state: PlanState,
  actions: FrontActions,
): TemplateResult {
  const { isAllShown, order } = state;
  const [, of] = orders[order] ?? [undefined, ({ number }: PlanLine) => number];
  const shown = isAllShown ? plans : plans.filter(({ number }) => chosen.includes(number));
  const sorted = [...shown].sort((a, b) => of(a) - of(b) || a.number - b.number);
  const taken = (event: Event) => {
    const table = (event.target as HTMLElement).closest("section")?.querySelector("table");
    if (table) takeAway("plans.csv", csvOf(table));
  };
  return html`<section aria-labelledby="plan-front">
      <h3 id="plan-front">Plans that no other beats</h3>
      <p>
        ${count(meeting)} combinations meet the wishes;
        ${plans.length === 1 ? "one of them is" : `${count(plans.length)} of them are`} beaten by no
        other${isAllShown || shown.length === plans.length ? "." : `. ${shown.length} are shown: the best in each figure, then those that are bad at none.`}
      </p>
      <p class="tools">
        <label
          >In order of
          <select @change=${(event: Event) => actions.sortBy((event.target as HTMLSelectElement).value)}>
            ${Object.entries(orders).map(([key, [label]]) => html`<option value=${key} ?selected=${key === order}>${label}</option>`)}
          </select></label
        >
        ${
          shown.length < plans.length
            ? html`<button type="button" @click=${() => actions.showAll()}>Show all ${count(plans.length)}</button>`
            : nothing
        }
      </p>
      ${tableOf(sorted, state, actions)}
      <p class="take-away small quiet">Take it along as <button type="button" @click=${taken}>CSV</button></p>
    </section>
    ${lookedPart(plans, state, actions)}`;
}

function tableOf(plans: readonly PlanLine[], { looked }: PlanState, actions: FrontActions): TemplateResult {
  return html`<div class="scrolling" tabindex="0" role="region" aria-label="Table of plans">
    <table class="tight plans">
      <caption>
        Choose one to see how it comes about. Chips and margins are estimates from data-sheet limits.
      </caption>
      <thead>
        <tr>
          <th scope="col">plan and picture</th>
          <th scope="col">processor</th>
          <th scope="col" class="number">colours</th>
          <th scope="col" class="number">chips</th>
          <th scope="col" class="number">margin, ns</th>
          <th scope="col" class="number">writes, kB/s</th>
          <th scope="col" class="number">wait, µs</th>
          <th scope="col" class="number">off, %</th>
          <th scope="col">circuit</th>
          <th scope="col" class="number">bytes used</th>
          <th scope="col" class="number">and left</th>
          <th scope="col">RAM and logic</th>
          <th scope="col">raster and oscillator</th>
        </tr>
      </thead>
      <tbody>
        ${plans.map(
          (plan) =>
            html`<tr>
              <td class="keep">
                <button
                  type="button"
                  class="choose"
                  aria-pressed=${looked?.number === plan.number ? "true" : "false"}
                  @click=${() => actions.look(plan.number)}
                >
                  ${plan.number}: ${plan.columns}×${plan.rows}
                </button>
              </td>
              <td class="keep">${plan.sharing}</td>
              <td class="number">${plan.colours}</td>
              <td class="number">${plan.chips}</td>
              <td class="number">${plan.marginNs === 0 ? "<1" : plan.marginNs}</td>
              <td class="number">${count(Math.round(plan.bytesPerSecond / 1000))}</td>
              <td class="number">${(plan.longestWaitNs / 1000).toFixed(2)}</td>
              <td class="number">${plan.deviationPercent.toFixed(1)}</td>
              <td class="keep">${plan.isWritable ? "can be written" : "not yet"}</td>
              <td class="number">${count(plan.memoryUsed)}</td>
              <td class="number">${count(plan.memoryLeft)}</td>
              <td class="keep">${plan.memory}, ${plan.family}</td>
              <td class="keep">${plan.from}</td>
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

/** One plan with its reasons, and its circuit. */
function lookedPart(
  plans: readonly PlanLine[],
  { looked, written }: PlanState,
  actions: FrontActions,
): TemplateResult | typeof nothing {
  const plan = looked && plans[looked.number - 1];
  if (!looked || !plan) return nothing;
  const { number, sentences, chips, obstacles } = looked;
  const best = plan.bestIn.length > 0 ? `: ${plan.bestIn.join(", ")}` : "";
  return html`<section class="looked" aria-labelledby="plan-looked">
    <h3 id="plan-looked">Plan ${number}${best}</h3>
    <ul>
      ${sentences.map((text) => html`<li>${text}</li>`)}
    </ul>
    ${
      chips === undefined
        ? html`<p>No circuit of it can be written: ${obstacles.join("; ")}.</p>`
        : html`<p class="tools">
              <button type="button" @click=${() => actions.write(number)}>Write the circuit</button>
              <span class="quiet">It has ${chips} chips; ${plan.chips} were estimated.</span>
            </p>
            <p role="status">
              ${
                written === number
                  ? html`It stands in the editor, and is being proved: <a href="#slots">Does every slot fit?</a>`
                  : nothing
              }
            </p>`
    }
    <p class="small quiet">
      The proof of the circuit has the last word. Check a fixed-frequency monitor's manual before you connect anything:
      a wrong line rate can damage it.
    </p>
  </section>`;
}
