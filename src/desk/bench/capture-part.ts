import { html, nothing, type TemplateResult } from "lit-html";
import type { BenchActions, BenchState, CaptureFile, Captured } from "./state.js";

/** What a logic analyser recorded, channel by channel. */
export function capturePart({ capture, captured, problems, ready }: BenchState, actions: BenchActions): TemplateResult {
  const taken = (event: Event) => {
    const input = event.target as HTMLInputElement;
    const [file] = input.files ?? [];
    if (file) actions.takeCapture(file);
    input.value = "";
  };
  return html`<section aria-labelledby="bench-capture">
    <h3 id="bench-capture">What a logic analyser recorded</h3>
    <p class="tools">
      <label class="button">Capture<input type="file" accept=".vcd,.csv,.tsv,.txt" @change=${taken} /></label>
      <span class="quiet"
        >${capture?.file.name ?? "a value change dump or a table (.csv), or drop one on this page"}</span
      >
      ${
        capture && /\.(csv|tsv|txt)$/i.test(capture.file.name)
          ? html`<label
              >sample period, ns, if it has no times
              <input
                type="number"
                min="0.001"
                step="any"
                .value=${String(capture.samplePeriod ?? "")}
                @change=${(event: Event) => actions.changeCapture(periodOf(event))}
            /></label>`
          : nothing
      }
      ${capture ? html`<button type="button" @click=${() => actions.dropCapture()}>Without it</button>` : nothing}
    </p>
    ${problems.capture === undefined ? nothing : html`<p role="alert">${problems.capture}</p>`}
    ${capture && captured ? channelsOf(capture, captured, ready?.nets ?? [], actions) : nothing}
  </section>`;
}

function periodOf(event: Event): Partial<CaptureFile> {
  const { valueAsNumber } = event.target as HTMLInputElement;
  return valueAsNumber > 0 ? { samplePeriod: valueAsNumber } : {};
}

function channelsOf(
  { nets }: CaptureFile,
  { channels, unknown, sentence, departs }: Captured,
  names: readonly string[],
  actions: BenchActions,
): TemplateResult {
  return html`<p>${sentence} Its nets count as measured.</p>
    <div class="scrolling" tabindex="0" role="region" aria-label="Channels of the capture">
      <table class="own">
        <thead>
          <tr>
            <th scope="col">channel</th>
            <th scope="col">net</th>
            <th scope="col">did</th>
            <th scope="col">right would be</th>
          </tr>
        </thead>
        <tbody>
          ${channels.map(
            ({ name, net, said, right }) =>
              html`<tr>
                <td class="mono">${name}</td>
                <td class="mono">${net}</td>
                <td>${said}</td>
                <td>${right}</td>
              </tr>`,
          )}
          ${unknown.map(
            (name) =>
              html`<tr>
                <td class="mono">${name}</td>
                <td colspan="3">
                  <select
                    aria-label="Net of channel ${name}"
                    @change=${(event: Event) =>
                      actions.changeCapture({ nets: { ...nets, [name]: (event.target as HTMLSelectElement).value } })}
                  >
                    <option value="">of no net; choose one</option>
                    ${names.map((net) => html`<option>${net}</option>`)}
                  </select>
                </td>
              </tr>`,
          )}
        </tbody>
      </table>
    </div>
    <div class="scrolling" tabindex="0" role="region" aria-label="Where the capture departs">
      <pre>${departs.join("\n")}</pre>
    </div>`;
}
