import { html, nothing, type TemplateResult } from "lit-html";
import type { BenchActions, BenchState, Weighed } from "./state.js";

const count = (value: number) => value.toLocaleString("en");

/** What it may be: how far the simulation is, who remains, and where to measure next. */
export function suspectsPart(state: BenchState, actions: BenchActions): TemplateResult {
  return html`<section aria-labelledby="bench-suspects">
    <h3 id="bench-suspects">What it may be</h3>
    ${runOf(state, actions)} ${state.weighed ? foundOut(state.weighed, state, actions) : nothing}
  </section>`;
}

function runOf({ run, ready, problems }: BenchState, actions: BenchActions): TemplateResult {
  if (problems.circuit !== undefined) return html`<p role="alert">${problems.circuit}</p>`;
  if (!ready || !run) return html`<p class="quiet">The board without faults is being simulated.</p>`;
  const { done, total, isRunning, isWhole, problem } = run;
  if (isWhole) return html`<p class="quiet">${count(total)} single faults are simulated. ${ready.sentence}</p>`;
  return html`${problem === undefined ? nothing : html`<p role="alert">The simulation stopped: ${problem}</p>`}
    <p class="tools">
      <label
        >${count(done)} of ${count(total)} single faults
        <progress max=${total} value=${done}>${Math.floor((100 * done) / total)} %</progress></label
      >
      ${
        isRunning
          ? html`<button type="button" @click=${() => actions.stop()}>Stop</button>`
          : html`<button type="button" @click=${() => actions.simulate()}>
              ${done > 0 ? "Simulate the rest" : "Simulate them"}
            </button>`
      }
      <span class="quiet"
        >${isRunning ? "What is found so far stands below." : "A large board takes a minute or two."}</span
      >
    </p>`;
}

function foundOut(weighed: Weighed, state: BenchState, actions: BenchActions): TemplateResult {
  const { hasEvidence, isExplained, left, suspects, next, simulated } = weighed;
  const own = suspects.slice(0, hasEvidence ? undefined : 0);
  return html`<div aria-live="polite">
      ${
        hasEvidence
          ? html`<p class="said">
              ${left === 1 ? "One suspect remains" : `${count(left)} suspects remain`} of ${count(simulated)} faults.
            </p>`
          : html`<p>Nothing is known of the board yet: say below what you see or measure.</p>`
      }
      ${
        isExplained
          ? nothing
          : html`<p class="warned">
              <span class="sign fails" aria-hidden="true">▲</span> No single fault explains all of this: measure again,
              or look for two. The nearest to it stand below.
            </p>`
      }
    </div>
    ${
      next
        ? html`<form class="next" @submit=${submitted(actions, next.place)}>
            <p>
              <strong>Measure next: <span class="mono">${next.pin}</span></strong>
              <span class="mono">${next.net}</span>. Right would be ${next.right}.
            </p>
            <p class="tools">
              <label>Found <input name="value" size="16" autocomplete="off" aria-describedby="bench-values" /></label>
              <button type="submit">Note it</button>
              <span class="quiet" id="bench-values">12.5 kHz, 12.5 kHz 25 %, 40 %, low, high or open</span>
            </p>
          </form>`
        : html`<p>${hasEvidence ? "No further pin tells the suspects apart." : nothing}</p>`
    }
    ${own.length === 0 ? nothing : suspectTable(weighed)} ${measurements(state, actions)}`;
}

function suspectTable({ suspects }: Weighed): TemplateResult {
  return html`<div class="scrolling" tabindex="0" role="region" aria-label="Suspects">
    <table class="own suspects">
      <caption>
        The likeliest first
      </caption>
      <thead>
        <tr>
          <th scope="col" class="number">likely, %</th>
          <th scope="col">what is wrong</th>
        </tr>
      </thead>
      <tbody>
        ${suspects.map(
          ({ share, faults: [first, ...others] }) =>
            html`<tr>
              <td class="number">${share >= 0.01 ? Math.round(100 * share) : "< 1"}</td>
              <td>${first}${others.map((text) => html`<br /><span class="quiet">${alternative(text)}</span>`)}</td>
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

/** `or the wire from …`: names of chips and nets stay as they are. */
function alternative(text: string): string {
  return text.startsWith("and ") ? text : `or ${text.replace(/^The /, "the ")}`;
}

/** What was measured so far, and room for a measurement at any pin. */
function measurements({ weighed, ready }: BenchState, actions: BenchActions): TemplateResult {
  const measured = weighed?.measured ?? [];
  return html`<form class="measured" @submit=${submitted(actions)}>
      <p class="tools">
        <label
          >Or at pin
          <input name="place" size="8" list="bench-pins" placeholder="U5.14" required autocomplete="off" />
        </label>
        <datalist id="bench-pins">
          ${(ready?.pins ?? []).map(([place, about]) => html`<option value=${place}>${about}</option>`)}
        </datalist>
        <label
          >found <input name="value" size="16" required autocomplete="off" aria-describedby="bench-values"
        /></label>
        <button type="submit">Note it</button>
      </p>
    </form>
    ${
      measured.length === 0
        ? nothing
        : html`<table class="own" data-measured>
            <caption>
              Measured
            </caption>
            <thead>
              <tr>
                <th scope="col">pin and value</th>
                <th scope="col">right would be</th>
                <th scope="col">forget</th>
              </tr>
            </thead>
            <tbody>
              ${measured.map(
                (one) =>
                  html`<tr>
                    <td class="mono">${one.text}</td>
                    <td>
                      ${one.problem === undefined ? one.right : html`<span class="sign fails" aria-hidden="true">▲</span> ${one.problem}`}
                    </td>
                    <td>
                      <button type="button" aria-label="Forget ${one.text}" @click=${() => actions.forget(one)}>
                        ×
                      </button>
                    </td>
                  </tr>`,
              )}
            </tbody>
          </table>`
    }`;
}

function submitted(actions: BenchActions, place?: string) {
  return (event: SubmitEvent) => {
    event.preventDefault();
    const form = event.currentTarget as HTMLFormElement;
    const data = new FormData(form);
    const word = (name: string) => {
      const value = data.get(name);
      return typeof value === "string" ? value.trim() : "";
    };
    if (word("value") === "") return;
    actions.measure(`${place ?? word("place")}=${word("value")}`);
    form.reset();
  };
}
