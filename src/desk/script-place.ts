import { loadScript } from "./on-demand.js";
import type { DeskFile } from "./protocol.js";
import type { Hands, ScriptPage } from "./script-page.js";

/**
 * Where a page stands whose script is loaded when it is first looked at, or, where the place has a button, when that is pressed.
 * The script leaves what makes the page under a name.
 */
export class ScriptPlace {
  readonly #script: string;
  readonly #name: string;
  readonly #hands: Hands;
  #page: ScriptPage | undefined;
  #place: HTMLElement | undefined;
  #file: DeskFile | undefined;

  constructor(script: string, name: string, hands: Hands) {
    this.#script = script;
    this.#name = name;
    this.#hands = hands;
  }

  use(file: DeskFile): void {
    this.#file = file;
    this.#page?.use(file);
  }

  mount(place: HTMLElement): void {
    this.#place = place;
    const button = place.querySelector("button");
    if (this.#page) this.#show(this.#page, place);
    else if (button) button.addEventListener("click", () => void this.#load());
    else {
      place.textContent = "Being fetched.";
      void this.#load();
    }
  }

  leave(): void {
    this.#place = undefined;
    this.#page?.leave();
  }

  async #load(): Promise<void> {
    try {
      await loadScript(this.#script);
    } catch (error) {
      if (this.#place) this.#place.textContent = error instanceof Error ? error.message : String(error);
      return;
    }
    if (!this.#page) {
      const made = (globalThis as Readonly<Record<string, unknown>>)[this.#name] as (hands: Hands) => ScriptPage;
      this.#page = made(this.#hands);
      if (this.#file) this.#page.use(this.#file);
    }
    if (this.#place) this.#show(this.#page, this.#place);
  }

  #show(page: ScriptPage, place: HTMLElement): void {
    const hadFocus = place.contains(document.activeElement);
    place.textContent = "";
    page.mount(place);
    if (hadFocus) place.querySelector<HTMLElement>("button")?.focus({ preventScroll: true });
  }
}
