import { loadScript } from "./on-demand.js";
import type { Ask, DeskFile, Told } from "./protocol.js";
import { deskWorker } from "./workers.js";

/** What the script of the thorough worker leaves for the desk. */
interface ThoroughScript {
  readonly dotwrightThorough?: string;
}

/**
 * Has a text judged in the background. A worker that is still busy with an older text is ended and a fresh one, which stands
 * ready, takes the new text: typing never waits for a computation. The first worker is small; where it leaves something open, the
 * thorough one is loaded, judges the text anew, and judges all that come after.
 */
export class Answering {
  readonly #listener: (told: Told) => void;
  #worker: Worker;
  #spare: Worker | undefined;
  #revision = 0;
  #isBusy = false;
  /** Code of the thorough worker, once it is there. */
  #thorough: string | undefined;
  #judged: Extract<Ask, { kind: "judge" }> | undefined;

  constructor(listener: (told: Told) => void) {
    this.#listener = listener;
    this.#worker = this.#start();
  }

  get isBusy(): boolean {
    return this.#isBusy;
  }

  /** Returns the revision that the answers will carry. */
  judge(file: DeskFile, width: number): number {
    if (this.#isBusy) {
      this.#worker.terminate();
      this.#worker = this.#spare ?? this.#start();
      this.#spare = undefined;
    }
    this.#revision += 1;
    this.#isBusy = true;
    this.#judged = { kind: "judge", revision: this.#revision, file, width };
    this.#post(this.#judged);
    return this.#revision;
  }

  /** Asks about the text that was judged last. */
  ask(ask: Exclude<Ask, { kind: "judge" | "compare" }>): void {
    this.#post(ask);
  }

  /** Compares another version with the text that was judged last. */
  async compare(file: DeskFile): Promise<void> {
    const revision = this.#revision;
    this.#isBusy = true;
    if (!(await this.#beThorough(revision))) return;
    this.#post({ kind: "compare", revision, file });
  }

  /** Has the thorough worker judge the text of a revision, if that has not been. False where another text has come or it cannot. */
  async #beThorough(revision: number): Promise<boolean> {
    if (this.#thorough !== undefined) return true;
    try {
      await loadScript("thorough.js");
    } catch (error) {
      if (revision === this.#revision) this.#fail(error instanceof Error ? error.message : String(error));
      return false;
    }
    this.#thorough ??= (globalThis as ThoroughScript).dotwrightThorough;
    this.#spare?.terminate();
    this.#spare = undefined;
    if (revision !== this.#revision || !this.#judged) return false;
    this.#worker.terminate();
    this.#worker = this.#start();
    this.#post(this.#judged);
    return true;
  }

  #post(ask: Ask): void {
    this.#worker.postMessage(ask);
  }

  #fail(what: string): void {
    this.#isBusy = false;
    this.#listener({ kind: "failed", revision: this.#revision, what });
  }

  #start(): Worker {
    const worker = deskWorker("answers", this.#thorough);
    worker.addEventListener("message", ({ data }: MessageEvent<Told>) => {
      if (worker !== this.#worker) return;
      if ("revision" in data && data.revision !== -1 && data.revision !== this.#revision) return;
      if (data.kind === "done" || data.kind === "failed") this.#isBusy = false;
      if (data.kind === "undecided") void this.#beThorough(data.revision);
      if (data.kind === "read") this.#spare ??= this.#start();
      this.#listener(data);
    });
    worker.addEventListener("error", ({ message }) => {
      if (worker === this.#worker) this.#fail(message);
    });
    return worker;
  }
}
