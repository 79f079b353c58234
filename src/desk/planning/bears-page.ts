import { html, nothing, type TemplateResult } from "lit-html";
import { unsafeHTML } from "lit-html/directives/unsafe-html.js";
import { addTakeAways } from "../take-aways.js";
import type { TrialsTold } from "./trials-protocol.js";
import { TrialsPage } from "./trials-page.js";

/** What does the board bear? Margins against clock, wires, air and supply, and what other parts do. */
export class BearsPage extends TrialsPage {
  #html: string | undefined;
  #decorated: string | undefined;

  constructor() {
    super("bears", { label: "What the board bears", begin: "Try it otherwise", end: "All was tried." });
  }

  protected hear(told: TrialsTold): void {
    if (told.kind === "known") this.#html = told.html;
  }

  protected forget(): void {
    this.#html = undefined;
  }

  protected foundPart(): TemplateResult | typeof nothing {
    return this.#html === undefined ? nothing : html`<div class="known">${unsafeHTML(this.#html)}</div>`;
  }

  protected override painted(): void {
    if (this.#html === this.#decorated) return;
    this.#decorated = this.#html;
    const known = this.root.querySelector<HTMLElement>(".known");
    if (known) addTakeAways(known);
  }
}
