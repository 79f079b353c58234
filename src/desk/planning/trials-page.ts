import { html, nothing, render, type TemplateResult } from "lit-html";
import code from "worker:planning";
import { PageWorker } from "../page-worker.js";
import type { DeskFile } from "../protocol.js";
import { isSameFile } from "../same-file.js";
import { ScriptPage } from "../script-page.js";
import { startWorker } from "../start-worker.js";
import type { TrialsAsk, TrialsTold } from "./trials-protocol.js";

type Progress = Extract<TrialsTold, { kind: "progress" }>;

/** What such a page says of itself. */
export interface TrialsWords {
  readonly label: string;
  /** On the button that begins it. */
  readonly begin: string;
  /** Said once all is done. */
  readonly end: string;
}

/**
 * A part of a page that tries the text otherwise, by many proofs, when somebody asks for it. It begins as its button is pressed,
 * shows what is known so far, and keeps that when it is stopped or the text is another one; `tried` is the text that it is about.
 */
export abstract class TrialsPage extends ScriptPage {
  protected tried: DeskFile | undefined;
  readonly #kind: TrialsAsk["kind"];
  readonly #words: TrialsWords;
  readonly #worker = new PageWorker<TrialsAsk, TrialsTold>(
    () => startWorker(code, "trials"),
    (told) => this.#take(told),
    (message) => this.#end(`This could not be worked out: ${message}`),
  );
  #progress: Progress | undefined;
  #problem: string | undefined;
  #isWhole = false;

  protected constructor(kind: TrialsAsk["kind"], words: TrialsWords) {
    super("section", "trials");
    this.root.setAttribute("aria-label", words.label);
    this.#kind = kind;
    this.#words = words;
  }

  /** Takes what the worker found. */
  protected abstract hear(told: TrialsTold): void;
  protected abstract forget(): void;
  /** What was found so far. */
  protected abstract foundPart(): TemplateResult | typeof nothing;
  /** After what was found stands in place. */
  protected painted(): void {}

  /** What was found stays, as that of the text before. */
  protected changed(): void {
    if (this.#worker.isRunning) this.#end(undefined);
    if (this.root.isConnected) this.paint();
  }

  /** The button that fetched the script asked for it. */
  protected begin(): void {
    if (!this.tried) this.#start();
  }

  protected get isOlder(): boolean {
    return this.tried !== undefined && this.file !== undefined && !isSameFile(this.tried, this.file);
  }

  #start(): void {
    if (!this.file) return;
    this.tried = this.file;
    this.#isWhole = false;
    this.#problem = undefined;
    this.#progress = { kind: "progress", done: 0, expected: 1, what: "the board as it is" };
    this.forget();
    this.#worker.begin({ kind: this.#kind, file: this.file });
    this.paint();
  }

  #take(told: TrialsTold): void {
    if (told.kind === "progress") this.#progress = told;
    else if (told.kind === "cannot") return this.#end(told.problem);
    else if (told.kind === "done") {
      this.#isWhole = true;
      return this.#end(undefined);
    } else this.hear(told);
    if (this.root.isConnected) this.paint();
  }

  #end(problem: string | undefined): void {
    this.#worker.end();
    this.#progress = undefined;
    this.#problem = problem;
    if (this.root.isConnected) this.paint();
  }

  protected paint(): void {
    render(html`${this.#tools()} ${this.foundPart()}`, this.root);
    this.painted();
  }

  #tools(): TemplateResult {
    const progress = this.#progress;
    const again = this.isOlder ? "Try the text as it is now" : "Try it again";
    return html`<p class="tools">
        ${
          progress
            ? html`<button type="button" @click=${() => this.#end(undefined)}>Stop</button>`
            : html`<button type="button" @click=${() => this.#start()}>
                ${this.tried ? again : this.#words.begin}
              </button>`
        }
        ${
          progress
            ? html`<label
                ><progress max=${progress.expected} value=${progress.done}></progress> ${progress.done} of about
                ${progress.expected} proofs</label
              >`
            : nothing
        }
        <span class="quiet" role="status">${this.#said()}</span>
        ${this.isOlder ? html`<span class="age">of the text before</span>` : nothing}
      </p>
      ${this.#problem === undefined ? nothing : html`<p role="alert">${this.#problem}</p>`}`;
  }

  #said(): string {
    if (this.#progress) return `Trying ${this.#progress.what}.`;
    if (!this.tried || this.#problem !== undefined) return "";
    if (this.#isWhole) return this.#words.end;
    return this.foundPart() === nothing ? "Stopped." : "Stopped: what was found so far stands below.";
  }
}
