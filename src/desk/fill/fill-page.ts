import { html, nothing, render, type TemplateResult } from "lit-html";
import code from "worker:fill";
import { PageWorker } from "../page-worker.js";
import { startWorker } from "../start-worker.js";
import { ScriptPage } from "../script-page.js";
import { takeAway } from "../take-away.js";
import type { FileKind, FillAsk, FillTold, Wanted } from "./protocol.js";

type Ready = Extract<FillTold, { kind: "ready" }>;
type Filled = Extract<FillTold, { kind: "filled" }>;
type Shown = Extract<FillTold, { kind: "shown" }>;

const paces = [
  { name: "as fast as the circuit allows", slowness: 1 },
  { name: "ten times as slowly", slowness: 10 },
  { name: "a hundred times as slowly", slowness: 100 },
] as const;

const files: readonly { readonly of: FileKind; readonly label: string }[] = [
  { of: "bin", label: "Raw bytes" },
  { of: "hex", label: "Intel HEX" },
  { of: "srec", label: "S-records" },
  { of: "c", label: "C array" },
  { of: "sender", label: "C that sends it" },
  { of: "rom", label: "Character ROM" },
];

/** How do I fill it? A picture and a text are put into the memory while the circuit runs, byte after byte as they are sent. */
export class FillPage extends ScriptPage {
  readonly #canvas = document.createElement("canvas");
  readonly #worker = new PageWorker<FillAsk, FillTold>(
    () => startWorker(code, "fill"),
    (told) => this.#hear(told),
    (message) => {
      this.#problem = `The board stopped: ${message}`;
      this.paint();
    },
  );
  #ready: Ready | undefined;
  #filled: Filled | undefined;
  #shown: Shown | undefined;
  #problem: string | undefined;
  #share = 0;
  #picture: File | undefined;
  #font: File | undefined;
  #pace = 1;

  constructor() {
    super("section", "live");
    this.root.setAttribute("aria-label", "Filling the memory");
    this.#canvas.className = "picture";
    this.#canvas.setAttribute("role", "img");
    this.#canvas.setAttribute("aria-label", "The picture that the circuit shows of its memory");
    this.root.addEventListener("dragover", (event) => event.preventDefault());
    this.root.addEventListener("drop", (event) => {
      event.preventDefault();
      const [file] = event.dataTransfer?.files ?? [];
      if (file) this.#take(file);
    });
  }

  protected changed(): void {
    this.#worker.end();
    this.#ready = this.#filled = this.#shown = this.#problem = undefined;
    this.#share = 0;
  }

  protected begin(): void {
    if (this.file && !this.#worker.isRunning) this.#worker.begin({ kind: "begin", file: this.file });
  }

  #ask(ask: FillAsk): void {
    this.#worker.ask(ask);
  }

  #hear(told: FillTold): void {
    if (told.kind === "ready") {
      this.#ready = told;
      [this.#canvas.width, this.#canvas.height] = [told.width, told.height];
      this.#canvas.style.aspectRatio = `${told.width * told.shape} / ${told.height}`;
    } else if (told.kind === "progress") this.#share = told.share;
    else if (told.kind === "cannot") this.#problem = told.problem;
    else if (told.kind === "filled") [this.#filled, this.#problem] = [told, undefined];
    else if (told.kind === "shown") {
      this.#shown = told;
      const { width, height } = this.#canvas;
      this.#canvas.getContext("2d")?.putImageData(new ImageData(told.rgba, width, height), 0, 0);
    } else takeAway(told.name, new Blob([told.content]));
    this.paint();
  }

  #take(file: File): void {
    if (/\.(bdf|psfu?)$/i.test(file.name)) this.#font = file;
    else this.#picture = file;
    this.paint();
    this.#fill();
  }

  #fill(): void {
    const form = this.root.querySelector("form");
    if (!form) return;
    const data = new FormData(form);
    const word = (name: string) => {
      const value = data.get(name);
      return typeof value === "string" ? value : "";
    };
    const wanted: Wanted = {
      testCard: data.has("card"),
      ...(this.#picture && { picture: this.#picture }),
      fit: word("fit"),
      dither: word("dither"),
      negative: data.has("negative"),
      text: word("text"),
      ...(this.#font && { font: this.#font }),
      scale: Math.max(1, Math.min(64, Number(word("scale")) || 1)),
      align: word("align") as Wanted["align"],
      inverse: data.has("inverse"),
    };
    this.#ask({ kind: "fill", wanted, slowness: paces[this.#pace]?.slowness ?? 1 });
  }

  protected paint(): void {
    render(this.#content(), this.root);
    const holder = this.root.querySelector(".canvas");
    if (holder && this.#canvas.parentElement !== holder) holder.append(this.#canvas);
  }

  #content(): TemplateResult {
    const problem = this.#problem ? html`<p role="alert">${this.#problem}</p>` : nothing;
    if (!this.#ready) {
      const share = `${Math.floor(this.#share * 100)} %`;
      return html`${problem}${
        this.#problem
          ? nothing
          : html`<p class="quiet">The circuit is being asked which bit is which dot, ${share}.</p>`
      }`;
    }
    return html`${problem}${this.#controls(this.#ready)}
      <div class="canvas"></div>
      <p class="quiet" aria-live="polite">${this.#progress()}</p>
      ${this.#result(this.#ready)}`;
  }

  #progress(): string {
    const { sent = 0, total = 0, milliseconds = 0 } = this.#shown ?? {};
    if (total === 0) return "The memory holds what it held at power-up.";
    const count = (value: number) => value.toLocaleString("en");
    const time = `${milliseconds.toFixed(1)} ms of the circuit's time`;
    return sent < total
      ? `${count(sent)} of ${count(total)} bytes are sent, ${time}.`
      : `All ${count(total)} bytes are sent, ${time}.`;
  }

  #controls({ fits, dithers, noWay }: Ready): TemplateResult {
    const chosen = (take: (file: File) => void) => (event: Event) => {
      const [file] = (event.target as HTMLInputElement).files ?? [];
      if (file) take(file);
    };
    const options = (list: readonly string[], first: string) =>
      list.map((one) => html`<option value=${one} ?selected=${one === first}>${one}</option>`);
    const submit = (event: Event) => {
      event.preventDefault();
      this.#fill();
    };
    const forget = () => {
      this.#picture = this.#font = undefined;
      this.paint();
    };
    return html`<form @submit=${submit}>
      <p class="tools">
        <label class="button"
          >Picture<input
            type="file"
            accept="image/*,.pbm,.pgm,.ppm,.pam,.pnm"
            @change=${chosen((file) => this.#take(file))}
        /></label>
        <span class="quiet">${this.#picture?.name ?? "or drop one here"}</span>
        <label
          >shown
          <select name="fit">
            ${options(fits, "fit")}
          </select></label
        >
        <label
          >dots
          <select name="dither">
            ${options(dithers, "floyd-steinberg")}
          </select></label
        >
        <label><input type="checkbox" name="negative" /> negative</label>
        <label><input type="checkbox" name="card" /> test card</label>
      </p>
      <p class="tools">
        <label class="wide">Text <textarea name="text" rows="2" cols="32"></textarea></label>
        <label>size <input name="scale" type="number" min="1" max="64" value="2" /></label>
        <label
          >lines
          <select name="align">
            ${options(["left", "centre", "right"], "left")}
          </select></label
        >
        <label><input type="checkbox" name="inverse" /> dark on light</label>
        <label class="button"
          >Font<input type="file" accept=".bdf,.psf,.psfu" @change=${chosen((file) => this.#take(file))}
        /></label>
        <span class="quiet">${this.#font?.name ?? "our own, 5 by 7 dots"}</span>
      </p>
      <p class="tools">
        <button type="submit">Send it</button>
        <label
          >${" "}<select
            aria-label="How fast it is sent"
            @change=${(event: Event) => (this.#pace = Number((event.target as HTMLSelectElement).value))}
          >
            ${paces.map(({ name }, index) => html`<option value=${index} ?selected=${index === this.#pace}>${name}</option>`)}
          </select></label
        >
        ${this.#picture || this.#font ? html`<button type="button" @click=${forget}>Without picture and font</button>` : nothing}
      </p>
      ${noWay === undefined ? nothing : html`<p>${noWay} So the memory is filled at once.</p>`}
    </form>`;
  }

  #result({ hasRom, noWay }: Ready): TemplateResult | typeof nothing {
    if (!this.#filled) return nothing;
    const { sentences, sequence } = this.#filled;
    const name = (this.file?.name ?? "memory").replace(/(\.circuit)?\.ya?ml$/i, "");
    const offered = files.filter(({ of }) => (of !== "rom" || hasRom) && (of !== "sender" || noWay === undefined));
    return html`${sentences.map((sentence) => html`<p>${sentence}</p>`)}
      <p class="tools">
        To keep:
        ${offered.map(
          ({ of, label }) =>
            html`<button type="button" @click=${() => this.#ask({ kind: "file", of, name })}>${label}</button> `,
        )}
      </p>
      ${sequence.length === 0 ? nothing : html`<div class="scrolling" tabindex="0" role="region" aria-label="How a byte is sent"><pre>${sequence.join("\n")}</pre></div>`}`;
  }
}
