/** The one worker of a page: begun when the page is looked at, and ended whatever it does when another text comes. */
export class PageWorker<Ask, Told> {
  readonly #start: () => Worker;
  readonly #hear: (told: Told) => void;
  readonly #stopped: (message: string) => void;
  #worker: Worker | undefined;

  /** `stopped` hears of what the worker's code did not catch. */
  constructor(start: () => Worker, hear: (told: Told) => void, stopped: (message: string) => void) {
    this.#start = start;
    this.#hear = hear;
    this.#stopped = stopped;
  }

  get isRunning(): boolean {
    return this.#worker !== undefined;
  }

  begin(first: Ask): void {
    this.end();
    const worker = this.#start();
    this.#worker = worker;
    // What was on its way as a worker ended is of no interest.
    const isMine = () => worker === this.#worker;
    worker.addEventListener("message", ({ data }: MessageEvent<Told>) => {
      if (isMine()) this.#hear(data);
    });
    worker.addEventListener("error", ({ message }: ErrorEvent) => {
      if (isMine()) this.#stopped(message);
    });
    this.ask(first);
  }

  ask(ask: Ask): void {
    this.#worker?.postMessage(ask);
  }

  end(): void {
    this.#worker?.terminate();
    this.#worker = undefined;
  }
}
