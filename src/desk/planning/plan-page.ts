import { html, nothing, render, type TemplateResult } from "lit-html";
import code from "worker:planning";
import type { WishTexts } from "../../planning/index.js";
import { PageWorker } from "../page-worker.js";
import { type Hands, ScriptPage } from "../script-page.js";
import { startWorker } from "../start-worker.js";
import { takeAway } from "../take-away.js";
import { frontPart } from "./front-part.js";
import type { PlanAsk, PlanTold } from "./plan-protocol.js";
import { type Misreadings, wishForm, wishesIn } from "./wish-form.js";

type Found = Extract<PlanTold, { kind: "found" }>;
type None = Extract<PlanTold, { kind: "none" }>;
type Looked = Extract<PlanTold, { kind: "looked" }>;

/** Everything that the page shows beside the form. */
export interface PlanState {
  /** Wishes are read, plans searched, or, where none meets them, what stands in the way is. */
  readonly isBusy: boolean;
  readonly problem?: string;
  readonly result?: Found | None;
  readonly looked?: Looked;
  readonly isAllShown: boolean;
  readonly order: string;
  /** The number of the plan whose circuit was put into the editor last. */
  readonly written?: number;
}

/** Where the wishes are kept in the browser, as a wish file. */
const KEPT = "dotwright.wishes";
/** Wishes to begin with: a picture that one small RAM holds, on the monitor that everybody has, of which circuits can be written. */
const FIRST: WishTexts = { rasters: ["640x480@60"], picture: "320 x 240", sharing: ["write latch"] };

/** What can I build? What the builder has and wants, and the plans that no other beats. */
export class PlanPage extends ScriptPage {
  readonly #hands: Hands;
  readonly #worker = new PageWorker<PlanAsk, PlanTold>(
    () => startWorker(code, "plan"),
    (told) => this.#hear(told),
    (message) => this.#update({ isBusy: false, problem: `This could not be worked out: ${message}` }),
  );
  #texts: WishTexts = {};
  #wrong: Misreadings = new Map();
  #version = 0;
  #state: PlanState = { isBusy: true, isAllShown: false, order: "chips" };

  constructor(hands: Hands) {
    super("section", "plan");
    this.root.setAttribute("aria-label", "Planning");
    this.#hands = hands;
  }

  /** What can be built hangs on no text. */
  protected changed(): void {}

  protected begin(): void {
    if (this.#version === 0) this.#read("the wishes of your last visit", kept() ?? wishFileOf(FIRST));
  }

  #read(name: string, text: string): void {
    this.#version += 1;
    this.#update({ isBusy: true });
    this.#worker.begin({ kind: "read", name, text });
  }

  #search(): void {
    const form = this.root.querySelector("form");
    if (!form) return;
    const { texts, wrong } = wishesIn(form);
    this.#wrong = wrong;
    if (wrong.size > 0) return this.paint();
    keep(texts);
    const { looked: _, written: __, problem: ___, ...others } = this.#state;
    this.#state = { ...others, isAllShown: false };
    const ask: PlanAsk = { kind: "search", texts };
    // A worker that is still at other wishes is ended.
    if (this.#state.isBusy || !this.#worker.isRunning) this.#worker.begin(ask);
    else this.#worker.ask(ask);
    this.#update({ isBusy: true });
  }

  #hear(told: PlanTold): void {
    switch (told.kind) {
      case "read":
        this.#texts = told.texts;
        this.#version += 1;
        this.#update({ isBusy: false });
        return this.#search();
      case "unreadable":
        return this.#update({ isBusy: false, problem: told.problems.join(" ") });
      case "wrong":
        this.#wrong = new Map(told.wrong.map(({ key, text }) => [key, text]));
        return this.#update({ isBusy: false });
      case "found": {
        this.#update({ isBusy: false, result: told });
        const [first] = told.chosen;
        if (first !== undefined) this.#worker.ask({ kind: "look", number: first });
        return;
      }
      case "none":
        return this.#update({ isBusy: told.waysOut === undefined, result: told });
      case "looked":
        return this.#update({ looked: told });
      case "written":
        this.#hands.open({ name: `plan-${told.number}.circuit.yaml`, text: told.text });
        return this.#update({ written: told.number });
    }
  }

  #update(change: Partial<PlanState>): void {
    this.#state = { ...this.#state, ...change };
    if (this.root.isConnected) this.paint();
  }

  #stop(): void {
    this.#worker.end();
    this.#update({ isBusy: false });
  }

  protected paint(): void {
    render(
      html`${wishForm(this.#texts, this.#wrong, this.#version, () => this.#search())} ${this.#tools()}
      ${this.#resultPart()}`,
      this.root,
    );
  }

  #tools(): TemplateResult {
    const { isBusy, problem } = this.#state;
    const opened = (event: Event) => {
      const input = event.target as HTMLInputElement;
      const [file] = input.files ?? [];
      if (file) void file.text().then((text) => this.#read(file.name, text));
      input.value = "";
    };
    const taken = () => {
      const form = this.root.querySelector("form");
      if (form) takeAway("my.wishes.yaml", new Blob([wishFileOf(wishesIn(form).texts)], { type: "application/yaml" }));
    };
    return html`<p class="tools">
        <button type="submit" form="wishes">Search</button>
        <button type="button" ?disabled=${!isBusy} @click=${() => this.#stop()}>Stop</button>
        <label class="button">Open wishes<input type="file" accept=".yaml,.yml" @change=${opened} /></label>
        <button type="button" @click=${taken}>Keep wishes</button>
      </p>
      <p class="quiet" role="status">${this.#said()}</p>
      ${problem === undefined ? nothing : html`<p role="alert">${problem}</p>`}`;
  }

  #said(): string {
    const { isBusy, result } = this.#state;
    if (this.#wrong.size > 0) return "Some wishes cannot be read; what is wrong stands below them.";
    if (isBusy && result?.kind === "none" && result.waysOut === undefined)
      return "Nothing meets all wishes; what stands in the way is being looked for.";
    if (isBusy) return "Being searched.";
    return result ? `Searched: ${result.searched}.` : "Nothing was searched yet.";
  }

  #resultPart(): TemplateResult | typeof nothing {
    const { result } = this.#state;
    if (!result) return nothing;
    if (result.kind === "none") return nonePart(result);
    return frontPart(result, this.#state, {
      look: (number) => this.#worker.ask({ kind: "look", number }),
      write: (number) => this.#worker.ask({ kind: "write", number }),
      showAll: () => this.#update({ isAllShown: true }),
      sortBy: (order) => this.#update({ order }),
    });
  }
}

function nonePart({ fallen, waysOut }: None): TemplateResult {
  return html`<section aria-labelledby="plan-none">
    <h3 id="plan-none">Nothing meets all wishes</h3>
    ${
      waysOut === undefined
        ? nothing
        : waysOut.length === 0
          ? html`<p>No one or two of the wishes make room by being left out; leave out more.</p>`
          : html`<p>What makes room, and the nearest plan then:</p>
              <ul>
                ${waysOut.map((text) => html`<li>${text}</li>`)}
              </ul>`
    }
    <p>What the combinations fell at:</p>
    <ul>
      ${fallen.map((text) => html`<li>${text}</li>`)}
    </ul>
  </section>`;
}

/** A wish file; JSON is YAML. */
function wishFileOf(texts: WishTexts): string {
  return `${JSON.stringify({ wishes: 1, ...texts }, undefined, 2)}\n`;
}

function kept(): string | undefined {
  return localStorage.getItem(KEPT) ?? undefined;
}

/** Where the browser keeps nothing more, the wishes are those of this visit. */
function keep(texts: WishTexts): void {
  try {
    localStorage.setItem(KEPT, wishFileOf(texts));
  } catch {
    localStorage.removeItem(KEPT);
  }
}
