import { html, nothing, type TemplateResult } from "lit-html";
import { ref } from "lit-html/directives/ref.js";
import { paintCells } from "./cells-canvas.js";
import type { SentLook } from "./protocol.js";
import type { BenchActions, BenchState } from "./state.js";

/** Looks of one caption that are shown before somebody asks for all. */
const FIRST = 4;

/** The pictures that single faults cause, by what one would say of them; those that the screen shows are ticked. */
export function galleryPart(state: BenchState, actions: BenchActions): TemplateResult {
  const { looks, shown, ready } = state;
  const captions = new Map<string, SentLook[]>();
  for (const look of looks) if (look.cells) captions.set(look.text, [...(captions.get(look.text) ?? []), look]);
  const several = [...captions].filter(([, own]) => own.length > 1);
  const single = [...captions].flatMap(([, own]) => (own.length === 1 ? own : []));
  const dark = looks.filter(({ cells }) => !cells);
  return html`<section aria-labelledby="bench-looks">
    <h3 id="bench-looks">What the screen shows</h3>
    ${
      looks.length === 0 || (ready && !ready.known.good.screens)
        ? html`<p class="quiet">
            ${ready && !ready.known.good.screens ? "The circuit has no picture." : "The pictures come as the faults are simulated."}
          </p>`
        : html`<p>
              Fill the memory with the test card and tick what comes nearest; several where you are not sure. Some of
              these pictures flash on a real screen: look away if that does you harm.
            </p>
            ${
              shown.length === 0
                ? nothing
                : html`<p class="tools">
                    <span role="status"
                      >${shown.length === 1 ? "One look is" : `${shown.length} looks are`} ticked.</span
                    >
                    <button type="button" @click=${() => actions.showNone()}>None of them</button>
                  </p>`
            }
            ${
              dark.length === 0
                ? nothing
                : html`<fieldset class="looks">
                    <legend>No picture that stands</legend>
                    ${dark.map((look) => html`<p>${darkLook(look, state, actions)}</p>`)}
                  </fieldset>`
            }
            ${
              single.length === 0
                ? nothing
                : html`<fieldset class="looks">
                    <legend>One look each</legend>
                    <div class="pictures">${single.map((look) => lookCard(look, state, actions, true))}</div>
                  </fieldset>`
            }
            ${several.map(([caption, own]) => captioned(caption, own, state, actions))}`
    }
  </section>`;
}

function captioned(
  caption: string,
  looks: readonly SentLook[],
  state: BenchState,
  actions: BenchActions,
): TemplateResult {
  const isOpen = state.opened.includes(caption);
  const ticked = looks.filter(({ number }) => state.shown.includes(number));
  const first = [...new Set([...looks.slice(0, FIRST), ...ticked])];
  const faults = looks.reduce((sum, look) => sum + look.faults, 0);
  return html`<fieldset class="looks">
    <legend>
      ${caption} <span class="quiet">${faults === 1 ? "1 fault" : `${faults.toLocaleString("en")} faults`}</span>
    </legend>
    <div class="pictures">${(isOpen ? looks : first).map((look) => lookCard(look, state, actions))}</div>
    ${
      isOpen || looks.length <= first.length
        ? nothing
        : html`<p>
            <button type="button" @click=${() => actions.open(caption)}>
              All ${looks.length}<span class="away"> pictures: ${caption}</span>
            </button>
          </p>`
    }
  </fieldset>`;
}

/** A look without a picture, in a line. */
function darkLook(look: SentLook, state: BenchState, actions: BenchActions): TemplateResult {
  return html`<label>${tick(look, state, actions)} ${look.number}. ${look.text} ${faultsOf(look)}</label>`;
}

/** One look with its box to tick; what one says of it, where no heading does. */
export function lookCard(look: SentLook, state: BenchState, actions: BenchActions, isNamed = false): TemplateResult {
  const { number, cells, first, text, detail } = look;
  const named = isNamed ? text : detail === undefined ? undefined : `${detail}.`;
  return html`<label class="look">
    ${
      cells
        ? html`<canvas
            role="img"
            aria-label="Look ${number}: ${text}"
            ${ref((canvas) => paint(canvas, cells))}
          ></canvas>`
        : html`<span class="none">no picture</span>`
    }
    <span
      >${tick(look, state, actions)} ${number}.
      ${named === undefined ? nothing : html`<strong>${named}</strong> `}${first} ${faultsOf(look)}</span
    >
  </label>`;
}

function tick({ number }: SentLook, { shown }: BenchState, actions: BenchActions): TemplateResult {
  return html`<input
    type="checkbox"
    .checked=${shown.includes(number)}
    @change=${(event: Event) => actions.show(number, (event.target as HTMLInputElement).checked)}
  />`;
}

function faultsOf({ faults, first, cells }: SentLook): TemplateResult | typeof nothing {
  if (faults < 2) return cells ? nothing : html`<span class="quiet">${first}</span>`;
  return html`<span class="quiet">${cells ? `and ${faults - 1} more` : `${faults} faults`}</span>`;
}

function paint(canvas: Element | undefined, cells: Uint8Array): void {
  if (canvas instanceof HTMLCanvasElement) paintCells(canvas, cells);
}
