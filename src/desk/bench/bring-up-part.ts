import { html, nothing, type TemplateResult } from "lit-html";
import type { BringUpStep, Finding } from "../../bench/index.js";
import { checkKey } from "./protocol.js";
import type { BenchActions, BenchState } from "./state.js";

/** Bringing the board up, step by step, with boxes to tick and fields for what was found. */
export function bringUpPart(state: BenchState, actions: BenchActions): TemplateResult {
  const { steps } = state;
  return html`<section aria-labelledby="bench-steps">
    <h3 id="bench-steps">Bring it up, step by step</h3>
    ${
      steps
        ? html`<p>
              The processor rests. Switch off before you plug a chip. Go on only when all of a step is as it should be.
              What you find at a pin counts as a measurement above.
            </p>
            <ol class="steps">
              ${steps.map((step) => stepOf(step, state, actions))}
            </ol>`
        : html`<p class="quiet">The steps are being worked out.</p>`
    }
  </section>`;
}

function stepOf(
  { number, title, plug, what, checks }: BringUpStep,
  state: BenchState,
  actions: BenchActions,
): TemplateResult {
  const { ticks, found } = state.found;
  const key = `step ${number} ${title}`;
  return html`<li>
    <h4>
      <label
        ><input
          type="checkbox"
          .checked=${ticks.includes(key)}
          @change=${(event: Event) => actions.tick(key, (event.target as HTMLInputElement).checked)}
        />
        ${number}. ${title}</label
      >
    </h4>
    <p>${plug.length > 0 ? `Plug in ${plug.join(", ")}. ` : ""}${what.charAt(0).toUpperCase()}${what.slice(1)}</p>
    ${
      checks.length === 0
        ? nothing
        : html`<div class="scrolling" tabindex="0" role="region" aria-label="Checks of step ${number}">
            <table class="own checks">
              <thead>
                <tr>
                  <th scope="col">at, with</th>
                  <th scope="col">expect</th>
                  <th scope="col">found</th>
                </tr>
              </thead>
              <tbody>
                ${checks.map((check) => {
                  const own = checkKey(check.at, check.net);
                  return html`<tr>
                    <td>
                      <span class="mono">${check.at}</span>
                      ${check.net === "" ? nothing : html`<span class="quiet mono">${check.net}</span>`}<br />${check.instrument}
                    </td>
                    <td>
                      ${check.expected}${check.tolerance === "as given" ? nothing : html`<br /><span class="quiet">${tolerated(check.tolerance)}</span>`}
                    </td>
                    <td>
                      <input
                        size="12"
                        autocomplete="off"
                        aria-label="Found at ${check.at}"
                        .value=${found[own] ?? ""}
                        @change=${(event: Event) => actions.find(own, (event.target as HTMLInputElement).value.trim())}
                      />
                      <div role="status">${saidOf(state.judged.get(own))}</div>
                    </td>
                  </tr>`;
                })}
              </tbody>
            </table>
          </div>`
    }
  </li>`;
}

function tolerated(tolerance: string): string {
  return /^\d/.test(tolerance) ? `within ${tolerance}` : tolerance;
}

function saidOf(finding: Finding | undefined): TemplateResult | typeof nothing {
  if (!finding || finding.text === "") return nothing;
  const { isRight, text } = finding;
  if (isRight === undefined) return html`<span class="sign gap" aria-hidden="true">◌</span> ${text}`;
  return html`<span class="sign ${isRight ? "holds" : "fails"}" aria-hidden="true">${isRight ? "○" : "▲"}</span>
    ${text}`;
}
