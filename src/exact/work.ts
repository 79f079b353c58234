import type { Clock } from "../timing/index.js";

/** What the exact stage has cost. */
export class Work {
  /** Calls of the solver of linear programmes. */
  solverCalls = 0;
  /** Milliseconds in them; 0 without a clock. */
  solverTime = 0;
  readonly #clock: Clock | undefined;

  constructor(clock?: Clock) {
    this.#clock = clock;
  }

  /** Counts one call of the solver. */
  solving<T>(call: () => T): T {
    this.solverCalls++;
    const began = this.#clock?.() ?? 0;
    try {
      return call();
    } finally {
      this.solverTime += (this.#clock?.() ?? 0) - began;
    }
  }
}
