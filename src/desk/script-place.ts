import { loadScript } from "./on-demand.js";
import type { DeskFile } from "./protocol.js";

/** A page that a script of its own brings. */
export interface PageLike {
  use(file: DeskFile): void;
  mount(place: HTMLElement): void;
  leave(): void;
}

/** Where a page stands whose script is loaded when it is first looked at; the script leaves what makes the page under a name. */
export class ScriptPlace {
  readonly #script: string;
  readonly #name: string;
  #page: PageLike | undefined;
  #place: HTMLElement | undefined;
  #file: DeskFile | undefined;

  constructor(script: string, name: string) {
    this.#script = script;
    this.#name = name;
  }

  use(file: DeskFile): void {
    this.#file = file;
    this.#page?.use(file);
  }

  mount(place: HTMLElement): void {
    this.#place = place;
    if (this.#page) {
      this.#page.mount(place);
      return;
    }
    place.textContent = "Being fetched.";
    void loadScript(this.#script).then(
      () => this.#begin(),
      (error: unknown) => {
        if (this.#place) this.#place.textContent = error instanceof Error ? error.message : String(error);
      },
    );
  }

  leave(): void {
    this.#place = undefined;
    this.#page?.leave();
  }

  #begin(): void {
    if (this.#page) return;
    const make = (globalThis as Readonly<Record<string, unknown>>)[this.#name] as (() => PageLike) | undefined;
    this.#page = make?.();
    if (this.#file) this.#page?.use(this.#file);
    if (!this.#place) return;
    this.#place.textContent = "";
    this.#page?.mount(this.#place);
  }
}
