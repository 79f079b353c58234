import { html, nothing, type TemplateResult } from "lit-html";
import { ref } from "lit-html/directives/ref.js";
import { paintCells } from "./cells-canvas.js";
import { lookCard } from "./gallery-part.js";
import type { BenchActions, BenchState, Photo } from "./state.js";

const CORNERS = ["top left", "top right", "bottom right", "bottom left"] as const;
/** Dots by which an arrow key moves a corner, alone and with the shift key. */
const STEP = 1;
const LONG_STEP = 10;

/** A photograph of the screen: its picture's corners to be set, and the looks nearest to it. */
export function photoPart(state: BenchState, actions: BenchActions): TemplateResult {
  const { photo, problems, looks } = state;
  const taken = (event: Event) => {
    const input = event.target as HTMLInputElement;
    const [file] = input.files ?? [];
    if (file) actions.takePhoto(file);
    input.value = "";
  };
  return html`<section aria-labelledby="bench-photo">
    <h4 id="bench-photo">By a photograph</h4>
    <p class="tools">
      <label class="button">Photograph<input type="file" accept="image/*" @change=${taken} /></label>
      <span class="quiet"
        >${photo?.name ?? "of the whole screen, or drop one on this page. It stays on this computer."}</span
      >
      ${photo ? html`<button type="button" @click=${() => actions.dropPhoto()}>Without it</button>` : nothing}
    </p>
    ${problems.photo === undefined ? nothing : html`<p role="alert">${problems.photo}</p>`}
    ${photo ? cornersOf(photo, actions) : nothing}
    ${
      photo && photo.matches.length > 0
        ? html`<p>Nearest to it, the nearest first; all of them are ticked until you choose.</p>
            <div class="pictures">
              ${photo.matches.flatMap((number) => looks[number - 1] ?? []).map((look) => lookCard(look, state, actions))}
            </div>`
        : photo && looks.length > 0 && problems.photo === undefined
          ? html`<p class="quiet" role="status">It is being compared.</p>`
          : nothing
    }
  </section>`;
}

function cornersOf({ photograph, corners, straight }: Photo, actions: BenchActions): TemplateResult {
  const { width, height } = photograph;
  return html`<p>
      Put each corner where the picture's own corner is, at the edge of the lit area: drag it, or give it the focus and
      use the arrow keys (with Shift ten dots), or write its place in dots.
    </p>
    <div class="photo" .style=${`aspect-ratio:${width}/${height}`}>
      <canvas role="img" aria-label="The photograph" ${ref((canvas) => paintPhoto(canvas, photograph))}></canvas>
      <svg viewBox="0 0 ${width} ${height}" aria-hidden="true">
        <polygon points=${corners.map((corner) => corner.join()).join(" ")} />
      </svg>
      ${corners.map(([x, y], corner) => {
        const move = (newX: number, newY: number) => actions.moveCorner(corner, newX, newY);
        return html`<button
          type="button"
          class="corner"
          aria-label="Corner at the ${CORNERS[corner]}: ${Math.round(x)}, ${Math.round(y)}"
          .style=${`left:${(100 * x) / width}%;top:${(100 * y) / height}%`}
          @keydown=${(event: KeyboardEvent) => byKey(event, x, y, move)}
          @pointerdown=${(event: PointerEvent) => (event.currentTarget as HTMLElement).setPointerCapture(event.pointerId)}
          @pointermove=${(event: PointerEvent) => dragged(event, width, height, move)}
        ></button>`;
      })}
    </div>
    <div class="places">
      <table class="own">
        <caption>
          Corners, in dots of ${width} by ${height}
        </caption>
        <thead>
          <tr>
            <th scope="col">corner</th>
            <th scope="col">from the left</th>
            <th scope="col">from the top</th>
          </tr>
        </thead>
        <tbody>
          ${corners.map(
            ([x, y], corner) =>
              html`<tr>
                <th scope="row">${CORNERS[corner]}</th>
                <td>
                  <input
                    type="number"
                    aria-label="${CORNERS[corner]}, from the left"
                    .value=${String(Math.round(x))}
                    @change=${(event: Event) => actions.moveCorner(corner, numberOf(event, x), y)}
                  />
                </td>
                <td>
                  <input
                    type="number"
                    aria-label="${CORNERS[corner]}, from the top"
                    .value=${String(Math.round(y))}
                    @change=${(event: Event) => actions.moveCorner(corner, x, numberOf(event, y))}
                  />
                </td>
              </tr>`,
          )}
        </tbody>
      </table>
      ${
        straight
          ? html`<figure>
              <canvas
                role="img"
                aria-label="The photograph, straightened"
                ${ref((canvas) => paintStraight(canvas, straight))}
              ></canvas>
              <figcaption class="small">As it is compared</figcaption>
            </figure>`
          : nothing
      }
    </div>`;
}

function byKey(event: KeyboardEvent, x: number, y: number, move: (x: number, y: number) => void): void {
  const step = event.shiftKey ? LONG_STEP : STEP;
  const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
  if (!by) return;
  event.preventDefault();
  move(x + (by[0] ?? 0), y + (by[1] ?? 0));
}

function dragged(event: PointerEvent, width: number, height: number, move: (x: number, y: number) => void): void {
  const corner = event.currentTarget as HTMLElement;
  const frame = corner.parentElement?.getBoundingClientRect();
  if (!frame || !corner.hasPointerCapture(event.pointerId)) return;
  move(((event.clientX - frame.left) * width) / frame.width, ((event.clientY - frame.top) * height) / frame.height);
}

function numberOf(event: Event, otherwise: number): number {
  const { valueAsNumber } = event.target as HTMLInputElement;
  return Number.isFinite(valueAsNumber) ? valueAsNumber : otherwise;
}

function paintStraight(canvas: Element | undefined, cells: Uint8Array): void {
  if (canvas instanceof HTMLCanvasElement) paintCells(canvas, cells);
}

const drawn = new WeakMap<HTMLCanvasElement, Photo["photograph"]>();

function paintPhoto(canvas: Element | undefined, photograph: Photo["photograph"]): void {
  if (!(canvas instanceof HTMLCanvasElement) || drawn.get(canvas) === photograph) return;
  drawn.set(canvas, photograph);
  const { width, height, rgb } = photograph;
  [canvas.width, canvas.height] = [width, height];
  const rgba = new Uint8ClampedArray(width * height * 4).fill(255);
  for (let dot = 0; dot < width * height; dot++) rgba.set(rgb.subarray(3 * dot, 3 * dot + 3), 4 * dot);
  canvas.getContext("2d")?.putImageData(new ImageData(rgba, width, height), 0, 0);
}
