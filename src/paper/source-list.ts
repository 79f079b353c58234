import { type Markup, markup } from "./markup.js";

/** The sources that a page refers to, numbered in the order of first mention. */
export class SourceList {
  readonly #numbers = new Map<string, number>();

  /** A reference to a source, `[3]`, or nothing for an empty one. */
  refer(source: string): Markup | undefined {
    if (source === "") return undefined;
    const number = this.#numbers.get(source) ?? this.#numbers.size + 1;
    this.#numbers.set(source, number);
    return markup`<a href="#source-${number}">[${number}]</a>`;
  }

  get isEmpty(): boolean {
    return this.#numbers.size === 0;
  }

  /** The list itself; call it when everything has been mentioned. */
  list(): Markup {
    const items = [...this.#numbers].map(([source, number]) => markup`<li id="source-${number}">${source}</li>\n`);
    return markup`<ol class="small">\n${items}</ol>\n`;
  }
}
