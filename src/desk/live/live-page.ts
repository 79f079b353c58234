import { html, nothing, render, type TemplateResult } from "lit-html";
import { unsafeHTML } from "lit-html/directives/unsafe-html.js";
import type { DeskFile } from "../protocol.js";
import { takeAway } from "../take-away.js";
import { PageWorker } from "../page-worker.js";
import { deskWorker } from "../workers.js";
import { dotsOfImage, dotsOfText } from "./dots-of.js";
import type { LiveAsk, LiveTold, MemorySize, Pace, SentLayout } from "./protocol.js";

type Begun = Extract<LiveTold, { kind: "begun" }>;

const paces: readonly { readonly name: string; readonly pace: (framesPerSecond: number) => Pace }[] = [
  { name: "as fast as the circuit", pace: (perSecond) => ({ unit: "frame", perSecond }) },
  { name: "two lines a second", pace: () => ({ unit: "half dot", perSecond: 3200 }) },
  { name: "twenty dots a second", pace: () => ({ unit: "half dot", perSecond: 40 }) },
  { name: "two dots a second", pace: () => ({ unit: "half dot", perSecond: 4 }) },
];

/** The running picture with its memory to write in: a board of its own in a worker of its own. */
export class LivePage {
  readonly #root = document.createElement("section");
  readonly #canvas = document.createElement("canvas");
  readonly #worker = new PageWorker<LiveAsk, LiveTold>(
    () => deskWorker("live"),
    (told) => this.#hear(told),
    (message) => {
      this.#problem = `The board stopped: ${message}`;
      this.#paint();
    },
  );
  #file: DeskFile | undefined;
  #layout: SentLayout | undefined;
  #begun: Begun | undefined;
  #problem: string | undefined;
  #isRunning = true;
  #pace = 0;
  #brush = { size: 3, value: 1 };
  #cursor = { x: 0, y: 0 };
  #last: { readonly x: number; readonly y: number } | undefined;
  #watched: readonly string[] = [];
  #shown: Extract<LiveTold, { kind: "shown" }> | undefined;
  #counted = { since: 0, frames: 0, perSecond: 0 };

  constructor() {
    this.#root.className = "live";
    this.#root.setAttribute("aria-label", "The running picture");
    this.#canvas.className = "picture";
    this.#canvas.tabIndex = 0;
    this.#canvas.setAttribute("role", "img");
    this.#canvas.addEventListener("pointerdown", (event) => this.#press(event));
    this.#canvas.addEventListener("pointermove", (event) => this.#draw(event));
    this.#canvas.addEventListener("pointerup", () => (this.#last = undefined));
    this.#canvas.addEventListener("keydown", (event) => this.#key(event));
    this.#canvas.addEventListener("dragover", (event) => event.preventDefault());
    this.#canvas.addEventListener("drop", (event) => {
      event.preventDefault();
      const [file] = event.dataTransfer?.files ?? [];
      if (file) void this.#image(file);
    });
  }

  /** Another text: the board begins anew when the page is looked at. `layout` is where the memory's bits are seen. */
  use(file: DeskFile, layout: SentLayout | undefined): void {
    this.#file = file;
    this.#layout = layout;
    this.#stop();
  }

  /** Shows the board in `place` and lets it run. */
  mount(place: HTMLElement): void {
    place.append(this.#root);
    if (!this.#worker.isRunning && this.#file) this.#begin(this.#file);
    else this.#sendPace();
    this.#paint();
  }

  /** Nobody looks: the board stands still. */
  leave(): void {
    this.#root.remove();
    this.#ask({ kind: "pace", pace: { unit: "frame", perSecond: 0 } });
  }

  #stop(): void {
    this.#worker.end();
    this.#begun = undefined;
    this.#problem = undefined;
    this.#shown = undefined;
    if (this.#root.isConnected && this.#file) this.#begin(this.#file);
  }

  #begin(file: DeskFile): void {
    const layout = this.#layout;
    this.#worker.begin({ kind: "begin", file, ...(layout && { layout }) });
  }

  #ask(ask: LiveAsk): void {
    this.#worker.ask(ask);
  }

  #hear(told: LiveTold): void {
    if (told.kind === "begun") {
      this.#begun = told;
      this.#watched = told.watched;
      [this.#canvas.width, this.#canvas.height] = [told.width, told.height];
      this.#brush.value = told.memory?.values.at(-1) ?? 1;
      this.#watch();
      this.#sendPace();
    } else if (told.kind === "cannot") {
      this.#problem = told.problem;
    } else {
      this.#shown = told;
      const { width, height } = this.#canvas;
      this.#canvas.getContext("2d")?.putImageData(new ImageData(told.rgba, width, height), 0, 0);
      this.#count(told.frames);
      if (!told.beam && this.#counted.frames > 0) return;
    }
    this.#paint();
  }

  #count(frames: number): void {
    const counted = this.#counted;
    counted.frames += frames;
    const now = performance.now();
    if (now - counted.since < 1000) return;
    counted.perSecond = (1000 * counted.frames) / (now - counted.since);
    [counted.since, counted.frames] = [now, 0];
  }

  #sendPace(): void {
    const chosen = paces[this.#pace];
    if (!this.#begun || !chosen) return;
    const pace = chosen.pace(this.#begun.framesPerSecond);
    this.#ask({ kind: "pace", pace: this.#isRunning ? pace : { ...pace, perSecond: 0 } });
    this.#counted = { since: performance.now(), frames: 0, perSecond: 0 };
  }

  #watch(): void {
    this.#ask({ kind: "watch", lanes: this.#watched, width: Math.max(620, this.#root.clientWidth) });
  }

  #press(event: PointerEvent): void {
    this.#canvas.setPointerCapture(event.pointerId);
    this.#last = undefined;
    this.#draw(event);
  }

  /** Draws from where the pointer was to where it is. */
  #draw(event: PointerEvent): void {
    const memory = this.#begun?.memory;
    if (!memory || event.buttons === 0) return;
    const box = this.#canvas.getBoundingClientRect();
    const x = Math.floor(((event.clientX - box.left) / box.width) * memory.width);
    const y = Math.floor(((event.clientY - box.top) / box.height) * memory.height);
    const from = this.#last ?? { x, y };
    this.#last = { x, y };
    this.#stroke(from, { x, y }, memory);
  }

  #key(event: KeyboardEvent): void {
    const memory = this.#begun?.memory;
    const move = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!memory || (!move && event.key !== " ")) return;
    event.preventDefault();
    const far = event.shiftKey ? 8 : 1;
    const from = this.#cursor;
    const [dx = 0, dy = 0] = move ?? [];
    this.#cursor = {
      x: Math.max(0, Math.min(memory.width - 1, from.x + dx * far)),
      y: Math.max(0, Math.min(memory.height - 1, from.y + dy * far)),
    };
    if (event.key === " " || event.ctrlKey) this.#stroke(from, this.#cursor, memory);
    this.#paint();
  }

  #stroke(from: { x: number; y: number }, to: { x: number; y: number }, { width, height }: MemorySize): void {
    const values = new Int32Array(width * height).fill(-1);
    const count = Math.max(1, Math.abs(to.x - from.x), Math.abs(to.y - from.y));
    const { size, value } = this.#brush;
    const before = Math.floor(size / 2);
    for (let step = 0; step <= count; step++) {
      const left = Math.round(from.x + ((to.x - from.x) * step) / count) - before;
      const top = Math.round(from.y + ((to.y - from.y) * step) / count) - before;
      for (let y = Math.max(0, top); y < Math.min(height, top + size); y++) {
        for (let x = Math.max(0, left); x < Math.min(width, left + size); x++) values[y * width + x] = value;
      }
    }
    this.#ask({ kind: "write", values });
  }

  #fill(value: number): void {
    const memory = this.#begun?.memory;
    if (memory) this.#ask({ kind: "write", values: new Int32Array(memory.width * memory.height).fill(value) });
  }

  #type(form: HTMLFormElement): void {
    const memory = this.#begun?.memory;
    if (!memory) return;
    const data = new FormData(form);
    const text = data.get("text");
    if (typeof text !== "string") return;
    const height = Math.max(5, Math.min(memory.height, Number(data.get("height")) || 16));
    const { x, y } = this.#cursor;
    this.#ask({ kind: "write", values: dotsOfText(text, height, x, y, memory) });
    this.#cursor = { x, y: Math.min(memory.height - 1, y + Math.round(height * 1.2)) };
    this.#paint();
  }

  async #image(file: File): Promise<void> {
    const memory = this.#begun?.memory;
    if (!memory) return;
    try {
      const image = await createImageBitmap(file);
      this.#ask({ kind: "write", values: dotsOfImage(image, memory) });
      this.#problem = undefined;
    } catch {
      this.#problem = `${file.name} is no picture that this browser can read: PNG, JPEG and GIF are.`;
    }
    this.#paint();
  }

  #words(): string {
    const { width = 0, height = 0 } = this.#begun ?? {};
    return `The monitor's picture, ${width} by ${height} dots`;
  }

  #paint(): void {
    this.#canvas.setAttribute("aria-label", this.#words());
    render(this.#content(), this.#root);
    const holder = this.#root.querySelector(".canvas");
    if (holder && this.#canvas.parentElement !== holder) holder.append(this.#canvas);
  }

  #content(): TemplateResult {
    const problem = this.#problem ? html`<p role="alert">${this.#problem}</p>` : nothing;
    if (!this.#begun)
      return html`${problem}${this.#problem ? nothing : html`<p class="quiet">The board is powered up.</p>`}`;
    return html`${problem}${this.#paceControls(this.#begun)}
      <div class="canvas"></div>
      ${this.#toolControls(this.#begun)} ${this.#waveControls(this.#begun)}`;
  }

  #paceControls({ framesPerSecond, doubts }: Begun): TemplateResult {
    const toggle = () => {
      this.#isRunning = !this.#isRunning;
      this.#sendPace();
      this.#paint();
    };
    const choose = (event: Event) => {
      this.#pace = Number((event.target as HTMLSelectElement).value);
      this.#isRunning = true;
      this.#sendPace();
      this.#paint();
    };
    const step = (unit: "half dot" | "line" | "frame") => () => {
      this.#isRunning = false;
      this.#sendPace();
      this.#ask({ kind: "step", unit });
    };
    const { beam } = this.#shown ?? {};
    const { perSecond } = this.#counted;
    const speed =
      perSecond > 0 ? `${perSecond.toFixed(1)} frames a second; the circuit makes ${framesPerSecond.toFixed(2)}` : "";
    return html`<p class="tools">
        <button type="button" @click=${toggle}>${this.#isRunning ? "Hold" : "Let it run"}</button>
        <label
          >how fast
          <select @change=${choose}>
            ${paces.map(({ name }, index) => html`<option value=${index} ?selected=${index === this.#pace}>${name}</option>`)}
          </select></label
        >
        one step:
        <button type="button" @click=${step("half dot")}>half a dot</button>
        <button type="button" @click=${step("line")}>a line</button>
        <button type="button" @click=${step("frame")}>a frame</button>
      </p>
      <p class="quiet small">
        Every chip as it is wired, without delays.
        ${beam ? `The beam is at line ${beam.line}, dot ${beam.dot}, counted from the syncs.` : speed}
        ${doubts.length > 0 ? `${doubts[0] ?? ""}: the picture may be another on a real board.` : ""}
      </p>`;
  }

  #toolControls({ memory }: Begun): TemplateResult {
    if (!memory) return html`<p>No bit of a memory decides a dot by itself, so there is nothing to draw in.</p>`;
    const type = (event: SubmitEvent) => {
      event.preventDefault();
      this.#type(event.target as HTMLFormElement);
    };
    const image = (event: Event) => {
      const input = event.target as HTMLInputElement;
      const [file] = input.files ?? [];
      if (file) void this.#image(file);
      input.value = "";
    };
    return html`<p class="small">
        Draw in the picture and the memory's bits behind it change: ${memory.width} by ${memory.height} dots. With the
        keyboard, arrows move the pen (with Shift by 8), the space bar sets it down, Ctrl and an arrow draw. The pen is
        at column ${this.#cursor.x}, row ${this.#cursor.y}.
      </p>
      <p class="tools">
        <label
          >pen
          <select @change=${(event: Event) => (this.#brush.size = Number((event.target as HTMLSelectElement).value))}>
            ${[1, 3, 5, 9, 17].map((size) => html`<option value=${size} ?selected=${size === this.#brush.size}>${size} dots</option>`)}
          </select></label
        >
        <label
          >value
          <select @change=${(event: Event) => (this.#brush.value = Number((event.target as HTMLSelectElement).value))}>
            ${memory.values.map((value) => html`<option value=${value} ?selected=${value === this.#brush.value}>${nameOf(value, memory)}</option>`)}
          </select></label
        >
        <button type="button" @click=${() => this.#fill(0)}>Clear</button>
        <label class="button">Put in an image<input type="file" accept="image/*" @change=${image} /></label>
        <button type="button" @click=${() => this.#keep()}>Take it along as PNG</button>
      </p>
      <form class="tools" @submit=${type}>
        <label>text <input name="text" value="HIGH WATER 14:32" /></label>
        <label>height <input name="height" type="number" min="5" max=${memory.height} value="16" /></label>
        <button>Write it at the pen</button>
      </form>`;
  }

  #keep(): void {
    this.#canvas.toBlob((blob) => {
      if (blob) takeAway("picture.png", blob);
    });
  }

  #waveControls({ lanes }: Begun): TemplateResult {
    const choose = (name: string) => (event: Event) => {
      const isOn = (event.target as HTMLInputElement).checked;
      this.#watched = isOn ? [...this.#watched, name] : this.#watched.filter((other) => other !== name);
      this.#watch();
    };
    const { waves } = this.#shown ?? {};
    return html`${
        waves
          ? html`<figure>
              <section class="scrolling" aria-label="The watched nets over the last dots" tabindex="0">
                ${unsafeHTML(waves)}
              </section>
            </figure>`
          : html`<p class="quiet small">Go slowly or step by step, and the watched nets are drawn here.</p>`
      }
      <details>
        <summary>Nets to watch</summary>
        <p class="lanes">
          ${lanes.map(
            (name) =>
              html`<label class="mono"
                ><input
                  type="checkbox"
                  ?checked=${this.#watched.includes(name)}
                  @change=${choose(name)}
                />${name}</label
              > `,
          )}
        </p>
      </details>`;
  }
}

/** What a value of a dot looks like. */
function nameOf(value: number, { colours }: MemorySize): string {
  const colour = colours[value] ?? 0;
  const [red, green, blue] = [colour & 255, (colour >> 8) & 255, (colour >> 16) & 255];
  if (red + green + blue === 0) return "black";
  if (red + green + blue === 765) return "white";
  return `red ${share(red)}, green ${share(green)}, blue ${share(blue)}`;
}

function share(part: number): string {
  return `${Math.round(part / 2.55)} %`;
}
