import type { DeskFile } from "../protocol.js";
import type { FillPageLike } from "./protocol.js";

/** What the script of the page leaves for the desk. */
interface FillScript {
  readonly dotwrightFill?: () => FillPageLike;
}

/** Where the page that fills the memory stands; its script is loaded when it is first looked at. */
export class FillPlace {
  #page: FillPageLike | undefined;
  #place: HTMLElement | undefined;
  #file: DeskFile | undefined;
  #isAskedFor = false;

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
    if (this.#isAskedFor) return;
    this.#isAskedFor = true;
    const script = document.createElement("script");
    script.src = "fill.js";
    script.addEventListener("load", () => this.#begin());
    script.addEventListener("error", () => {
      this.#isAskedFor = false;
      if (this.#place) this.#place.textContent = "fill.js, which belongs beside the desk's other files, is not there.";
    });
    document.head.append(script);
  }

  leave(): void {
    this.#place = undefined;
    this.#page?.leave();
  }

  #begin(): void {
    this.#page = (globalThis as FillScript).dotwrightFill?.();
    if (this.#file) this.#page?.use(this.#file);
    if (!this.#place) return;
    this.#place.textContent = "";
    this.#page?.mount(this.#place);
  }
}
