import { html, nothing, type TemplateResult } from "lit-html";
import type { Hands } from "../script-page.js";
import type { Mended, TrialsTold } from "./trials-protocol.js";
import { TrialsPage } from "./trials-page.js";

/** What would mend it? Changes of the text after which nothing fails, each proved, to be put into the editor. */
export class MendsPage extends TrialsPage {
  readonly #hands: Hands;
  #mended: Extract<TrialsTold, { kind: "mended" }> | undefined;
  #said = "";

  constructor(hands: Hands) {
    super("mends", { label: "What would mend it", begin: "Look for what mends it", end: "" });
    this.#hands = hands;
  }

  protected hear(told: TrialsTold): void {
    if (told.kind === "mended") this.#mended = told;
  }

  protected forget(): void {
    this.#mended = undefined;
    this.#said = "";
  }

  protected foundPart(): TemplateResult | typeof nothing {
    if (!this.#mended) return nothing;
    const { sentence, repairs } = this.#mended;
    return html`<p>${sentence}</p>
      ${repairs.map((one) => this.#repairPart(one))}
      <p role="status">${this.#said}</p>`;
  }

  #repairPart(one: Mended): TemplateResult {
    const { changes, comesTo, movesTimes } = one;
    return html`<ul>
        ${changes.map((change) => html`<li>${change}</li>`)}
      </ul>
      <p class="quiet">${comesTo}.</p>
      ${
        movesTimes
          ? html`<p class="quiet">
              It moves when something happens. Everything that was checked before still is; look at the picture before
              you wire it.
            </p>`
          : nothing
      }
      <p class="tools">
        <button type="button" ?disabled=${this.isOlder} @click=${() => this.#apply(one)}>
          Write it into the editor
        </button>
        <span class="quiet">Comments and layout stay; undo takes it back.</span>
      </p>`;
  }

  #apply({ text }: Mended): void {
    const before = this.tried?.text ?? "";
    this.#said = this.#hands.change(before, text)
      ? "It stands in the editor, and is being proved."
      : "The text has been changed meanwhile: look for what mends it again.";
    this.paint();
  }
}
