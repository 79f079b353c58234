import { answersWorker } from "./workers.js";
import type { Ask, DeskFile, Told } from "./protocol.js";

/**
 * Has a text judged in the background. A worker that is still busy with an older text is ended and a fresh one, which stands
 * ready, takes the new text: typing never waits for a computation.
 */
export class Answering {
  readonly #listener: (told: Told) => void;
  #worker: Worker;
  #spare: Worker | undefined;
  #revision = 0;
  #isBusy = false;

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
    this.#post({ kind: "judge", revision: this.#revision, file, width });
    return this.#revision;
  }

  /** Asks about the text that was judged last. */
  ask(ask: Exclude<Ask, { kind: "judge" }>): void {
    this.#post(ask);
  }

  #post(ask: Ask): void {
    this.#worker.postMessage(ask);
  }

  #start(): Worker {
    const worker = answersWorker();
    worker.addEventListener("message", ({ data }: MessageEvent<Told>) => {
      if (worker !== this.#worker) return;
      if ("revision" in data && data.revision !== -1 && data.revision !== this.#revision) return;
      if (data.kind === "done" || data.kind === "failed") this.#isBusy = false;
      if (data.kind === "read") this.#spare ??= this.#start();
      this.#listener(data);
    });
    worker.addEventListener("error", ({ message }) => {
      if (worker !== this.#worker) return;
      this.#isBusy = false;
      this.#listener({ kind: "failed", revision: this.#revision, what: message });
    });
    return worker;
  }
}
