import type { Moment } from "../../src/timing/moment.js";
import type { PathId } from "../../src/timing/paths.js";
import { OSCILLATOR_FALL, OSCILLATOR_RISE } from "../../src/timing/roots.js";
import type { TimeLine } from "../../src/timing/time-line.js";
import type { Run } from "./waves-run.js";

/** The time of a moment on one board, exactly but for delays of data ways, of which one stands for all. */
export class BoardTime {
  readonly #time: TimeLine;
  readonly #run: Run;
  readonly #sums = new Map<PathId, { readonly least: number; readonly most: number }>();

  constructor(time: TimeLine, run: Run) {
    this.#time = time;
    this.#run = run;
  }

  /** Femtoseconds from power-up; the ticks of the moment counted from the first. */
  of({ path, tick }: Moment): { readonly least: number; readonly most: number } {
    const { least, most } = this.#sum(path);
    const { start, period, high } = this.#run;
    const root = this.#time.rootOf(path);
    if (root !== OSCILLATOR_RISE && root !== OSCILLATOR_FALL) throw new RangeError(`no time for root ${root}`);
    const from = start + tick * period + (root === OSCILLATOR_FALL ? high : 0);
    return { least: from + least, most: from + most };
  }

  #sum(path: PathId): { readonly least: number; readonly most: number } {
    const known = this.#sums.get(path);
    if (known) return known;
    let [least, most] = [0, 0];
    let isPrivate = false;
    for (const variable of this.#time.chain(path)) {
      isPrivate ||= variable.isPrivate;
      const value = this.#run.delays.of(variable);
      least += isPrivate ? variable.min : value;
      most += isPrivate ? variable.max : value;
    }
    const sum = { least, most };
    this.#sums.set(path, sum);
    return sum;
  }
}
