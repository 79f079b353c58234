import type { Simulator } from "../simulation/index.js";
import type { ChainEnd } from "./chain-end.js";

/** Changes kept of a place; gaps between chains span a few oscillator periods at most. */
const KEPT = 64;

/** The latest changes at one place. Times in femtoseconds. */
class Recent {
  readonly times = new Float64Array(KEPT).fill(Number.NaN);
  #next = 0;
  readonly listeners: ((time: number) => void)[] = [];

  add(time: number): void {
    this.times[this.#next] = time;
    this.#next = (this.#next + 1) % KEPT;
    for (const listen of this.listeners) listen(time);
  }

  /** The kept time that lies within `tolerance` of `wanted`. */
  near(wanted: number, tolerance: number): number | undefined {
    return this.times.find((time) => Math.abs(time - wanted) <= tolerance);
  }
}

/** A change at one place and a change at another, `gap` later; both must come for the pair to be seen. */
export interface Pair {
  readonly earlier: ChainEnd;
  readonly later: ChainEnd;
  /** From the first to the second, in femtoseconds; negative where the second comes first. */
  readonly gap: number;
}

/** A pair as it was seen: when its two changes came, in femtoseconds. */
export interface SeenPair {
  readonly earlier: number;
  readonly later: number;
}

/** High times and limits are rounded to whole femtoseconds, each once. */
const TOLERANCE_FS = 2;

/** Looks out for pairs of changes in a simulation, from now on. */
export class PairWatch {
  readonly seen = new Map<Pair, SeenPair>();
  readonly #places = new Map<string, Recent>();
  readonly #pins = new Map<number, Recent>();

  constructor(simulator: Simulator, pairs: readonly Pair[]) {
    for (const pair of pairs) this.#lookFor(simulator, pair);
    simulator.observePins(this.#pins.keys(), (pin, time) => this.#pins.get(pin)?.add(time));
  }

  #lookFor(simulator: Simulator, pair: Pair): void {
    const [earlier, later] = [this.#place(simulator, pair.earlier), this.#place(simulator, pair.later)];
    const note = (from: number | undefined, to: number | undefined) => {
      if (from !== undefined && to !== undefined && !this.seen.has(pair))
        this.seen.set(pair, { earlier: from, later: to });
    };
    earlier.listeners.push((time) => note(time, later.near(time + pair.gap, TOLERANCE_FS)));
    later.listeners.push((time) => note(earlier.near(time - pair.gap, TOLERANCE_FS), time));
  }

  #place(simulator: Simulator, end: ChainEnd): Recent {
    const known = this.#places.get(end.name);
    if (known) return known;
    const recent = new Recent();
    this.#places.set(end.name, recent);
    if (end.kind === "pin") this.#pins.set(end.variable, recent);
    else simulator.observeDriver(end.driver, (time) => recent.add(time));
    return recent;
  }
}
