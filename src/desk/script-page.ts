import type { Draft } from "./draft.js";
import type { DeskFile } from "./protocol.js";
import { isSameFile } from "./same-file.js";

/** What a page may do to the text in the editor. */
export interface Hands {
  /** Opens another text, as New and Open do: undo brings back what was there. */
  open(draft: Draft): void;
  /** Puts a later version of a text in its place, to be undone in one step; false where it has been changed meanwhile. */
  change(before: string, after: string): boolean;
}

/** A page that a script of its own brings: one element, which is put in place and taken away with all that it shows. */
export abstract class ScriptPage {
  protected readonly root: HTMLElement;
  protected file: DeskFile | undefined;

  protected constructor(element: "div" | "section", className: string) {
    this.root = document.createElement(element);
    this.root.className = className;
  }

  /** The text on the desk is another one. */
  use(file: DeskFile): void {
    if (isSameFile(file, this.file)) return;
    this.file = file;
    this.changed();
    if (this.root.isConnected) this.begin();
  }

  mount(place: HTMLElement): void {
    place.append(this.root);
    this.begin();
    this.paint();
  }

  leave(): void {
    this.root.remove();
  }

  /** Forgets what was of the text before. */
  protected abstract changed(): void;
  /** Begins to work out what the page shows, unless that has begun; called when somebody looks. */
  protected abstract begin(): void;
  protected abstract paint(): void;
}
