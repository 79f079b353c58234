import type { Edge, Oscillation } from "../../parts/index.js";
import { type Fs, fs } from "../../quantity/index.js";
import type { Courses } from "./course.js";
import type { LogicNetId, LogicView } from "./logic-view.js";
import { NotFollowed } from "./not-followed.js";
import type { Part } from "./parts.js";

/** How often a net has one of its edges while the circuit runs in its cycle. */
export interface ClockRate {
  /** The least time from one such edge to the next, delays apart. */
  readonly leastGap: Fs;
  /** On average, at the oscillator's fastest. */
  readonly hertz: number;
}

/** A place on the time line: an oscillator period, and which of its edges sets the change off. */
interface Place {
  readonly tick: number;
  readonly half: 0 | 1;
}

/** The rates of nets that follow from the oscillator alone. */
export class ClockRates {
  readonly #view: LogicView;
  readonly #courses: Courses;
  readonly #parts: readonly Part[];
  readonly #oscillation: Oscillation;

  constructor(view: LogicView, courses: Courses, parts: readonly Part[], oscillation: Oscillation) {
    this.#view = view;
    this.#courses = courses;
    this.#parts = parts;
    this.#oscillation = oscillation;
  }

  /** Undefined where the net hangs on something else, stands still or could not be followed. */
  of(net: LogicNetId, edge: Edge): ClockRate | undefined {
    const { period } = this.#oscillation;
    if (this.#view.nets[net]?.isOscillator) return { leastGap: period.min, hertz: 1e15 / period.min };
    const drivers = this.#view.nets[net]?.drivers ?? [];
    const part = this.#parts.find(({ sections }) => drivers.some(({ section }) => sections.includes(section)));
    if (!part?.shown.includes(net)) return undefined;
    try {
      const { leadTicks, cycleTicks, shows, feeds } = this.#courses.course(part);
      const level = edge === "rise" ? 1 : 0;
      const places: Place[] = [];
      for (let tick = 0; tick < cycleTicks; tick++) {
        const { halves } = feeds.feed(shows[leadTicks + tick] ?? 0);
        halves.forEach((changes, half) => {
          for (const change of changes) {
            if (change.net === net && change.level === level) places.push({ tick, half: half === 0 ? 0 : 1 });
          }
        });
      }
      const [first] = places;
      if (!first) return undefined;
      const next = [...places.slice(1), { ...first, tick: first.tick + cycleTicks }];
      const gaps = places.map((place, index) => this.#leastGap(place, next[index] ?? place));
      return { leastGap: fs(Math.min(...gaps)), hertz: (places.length * 1e15) / (cycleTicks * period.min) };
    } catch (error) {
      if (error instanceof NotFollowed) return undefined;
      throw error;
    }
  }

  #leastGap(from: Place, to: Place): number {
    const { period, duty } = this.#oscillation;
    const whole = (to.tick - from.tick) * period.min;
    if (from.half === to.half) return whole;
    return Math.floor(to.half === 1 ? whole + duty.min * period.min : whole - duty.max * period.min);
  }
}
