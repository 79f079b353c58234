import { html, nothing, type TemplateResult } from "lit-html";
import { type EntryKind, entryKinds } from "../../bench/notebook/entry.js";
import { readNotebook } from "../../bench/notebook/read-notebook.js";
import type { BenchActions, BenchState } from "./state.js";

/** The bench notebook: what was built, measured, found and changed, with room for the next entry. */
export function notebookPart({ notebook, problems, found }: BenchState, actions: BenchActions): TemplateResult {
  if (!notebook)
    return html`${problems.notebook === undefined ? nothing : html`<p role="alert">${problems.notebook}</p>`}`;
  const { entries, problems: unread } = readNotebook(notebook.text);
  const noted = new Set(entries.map(({ text }) => text));
  const fresh = found.measured.filter((measured) => !noted.has(measured));
  const submit = (event: SubmitEvent) => {
    event.preventDefault();
    const form = event.currentTarget as HTMLFormElement;
    const data = new FormData(form);
    const [kind, text] = [data.get("kind"), data.get("text")];
    if (typeof text !== "string" || text.trim() === "") return;
    // What cannot be noted stays to be mended.
    void actions.note([[kind as EntryKind, text]]).then((isNoted) => {
      if (isNoted) form.reset();
    });
  };
  return html`<section aria-labelledby="bench-notebook">
    <h3 id="bench-notebook">Notebook</h3>
    ${
      entries.length === 0
        ? html`<p>Nothing is noted yet.</p>`
        : html`<div class="scrolling" tabindex="0" role="region" aria-label="Entries of the notebook">
            <table class="own">
              <thead>
                <tr>
                  <th scope="col">when</th>
                  <th scope="col">entry</th>
                  <th scope="col">what</th>
                </tr>
              </thead>
              <tbody>
                ${entries.map(
                  ({ when, kind, text }) =>
                    html`<tr>
                      <td class="mono">${when}</td>
                      <td>${kind}</td>
                      <td>${text}</td>
                    </tr>`,
                )}
              </tbody>
            </table>
          </div>`
    }
    ${
      unread.length === 0
        ? nothing
        : html`<p>Lines of ${notebook.name} that are no entries stay as they are:</p>
            <ul>
              ${unread.map(({ line, column, message }) => html`<li>line ${line}, column ${column}: ${message}</li>`)}
            </ul>`
    }
    <form @submit=${submit}>
      <p class="tools">
        <select name="kind" aria-label="Kind of entry">
          ${entryKinds.map((kind) => html`<option ?selected=${kind === "found"}>${kind}</option>`)}
        </select>
        <input name="text" size="40" aria-label="What to note" autocomplete="off" />
        <button type="submit">Add it</button>
        ${
          fresh.length === 0
            ? nothing
            : html`<button
                type="button"
                @click=${() => void actions.note(fresh.map((text) => ["measured", text] as const))}
              >
                ${fresh.length === 1 ? "Add the measurement" : `Add ${fresh.length} measurements`}
              </button>`
        }
        <button type="button" @click=${() => actions.takeNotebook()}>Take it along</button>
      </p>
    </form>
    ${problems.notebook === undefined ? nothing : html`<p role="alert">${problems.notebook}</p>`}
    <p class="small quiet">
      ${
        document.documentElement.dataset["served"] === "true"
          ? `It is kept in ${notebook.name} beside the circuit file.`
          : "It is kept in this browser: take it along to keep it beside the circuit file."
      }
    </p>
  </section>`;
}
