import { type Feed, FeedBook, joined, oscillatorFeed, restricted } from "./feed.js";
import { LaneUnit, type SeenChange } from "./lane-unit.js";
import type { LogicNetId, LogicView } from "./logic-view.js";
import { NotFollowed } from "./not-followed.js";
import type { Part } from "./parts.js";

/** More oscillator periods than any frame has: beyond it a part is not followed. */
export const MOST_COURSE_TICKS = 4_000_000;

/** How a part runs from a start with all storage low: a lead, then a cycle for ever. Tick by tick. */
export interface Course extends InputSpan {
  readonly leadTicks: number;
  readonly cycleTicks: number;
  /** Its state before each tick of lead and cycle. */
  readonly states: Float64Array;
  /** Number of what it shows in each of those ticks, in `feeds`. */
  readonly shows: Int32Array;
  readonly feeds: FeedBook;
  /** Of those periods, how many its own state takes to come back. */
  readonly multiple: number;
}

/** Where in a course's arrays a tick is. */
export function placeInCourse(
  { leadTicks, cycleTicks }: Pick<Course, "leadTicks" | "cycleTicks">,
  tick: number,
): number {
  return tick < leadTicks ? tick : leadTicks + ((tick - leadTicks) % cycleTicks);
}

/** The courses of parts, worked out as they are asked for. */
export class Courses {
  readonly #view: LogicView;
  readonly #oscillator: readonly LogicNetId[];
  readonly #followers = new Map<Part, Follower>();

  constructor(view: LogicView) {
    this.#view = view;
    this.#oscillator = view.nets.filter(({ isOscillator }) => isOscillator).map(({ id }) => id);
  }

  isOscillator(net: LogicNetId): boolean {
    return this.#oscillator.includes(net);
  }

  /** Throws NotFollowed. */
  course(part: Part): Course {
    return this.#follower(part).course();
  }

  /** What the part reads in a tick, as a number for `inputFeed`. */
  input(part: Part, tick: number): number {
    return this.#follower(part).input(tick);
  }

  inputFeed(part: Part, input: number): Feed {
    return this.#follower(part).inputs.feed(input);
  }

  /** After how many ticks what the part reads repeats, and from which tick on. */
  inputSpan(part: Part): InputSpan {
    return this.#follower(part).inputSpan();
  }

  /** The part's state before a tick, from a start with all storage low. */
  stateAt(part: Part, tick: number): number {
    return this.#follower(part).stateAt(tick);
  }

  unit(part: Part): LaneUnit {
    return this.#follower(part).unit;
  }

  #follower(part: Part): Follower {
    const known = this.#followers.get(part);
    if (known) return known;
    const sources = part.parents.map(({ part: parent, nets }): Source => ({
      course: () => this.course(parent),
      nets: new Set(nets),
      partial: [],
    }));
    const oscillator = part.readsOscillator ? oscillatorFeed(this.#oscillator) : undefined;
    const made = new Follower(part, new LaneUnit(this.#view, part.sections), sources, oscillator);
    this.#followers.set(part, made);
    return made;
  }
}

export interface InputSpan {
  readonly inputLeadTicks: number;
  readonly inputTicks: number;
}

interface Source {
  readonly course: () => Course;
  readonly nets: ReadonlySet<LogicNetId>;
  /** By number of what the source shows: the number of what is seen of it. */
  readonly partial: number[];
}

interface Step {
  readonly next: number;
  readonly shows: number;
}

class Follower {
  readonly unit: LaneUnit;
  readonly inputs = new FeedBook();
  readonly #part: Part;
  readonly #sources: readonly Source[];
  readonly #oscillator: Feed | undefined;
  readonly #partials = new FeedBook();
  readonly #pairs = new Map<number, number>();
  readonly #combined: number[] = [];
  readonly #parts: number[][] = [];
  readonly #steps: Map<number, Step>[] = [];
  readonly #feeds = new FeedBook();
  #course: Course | undefined;
  #isBusy = false;
  #failure: NotFollowed | undefined;

  constructor(part: Part, unit: LaneUnit, sources: readonly Source[], oscillator: Feed | undefined) {
    this.#part = part;
    this.unit = unit;
    this.#sources = sources;
    this.#oscillator = oscillator;
  }

  input(tick: number): number {
    let combined = -1;
    for (const { course, nets, partial } of this.#sources) {
      const from = course();
      const shown = from.shows[placeInCourse(from, tick)] ?? 0;
      let seen = partial[shown];
      if (seen === undefined) {
        seen = this.#partials.id(restricted(from.feeds.feed(shown), nets));
        partial[shown] = seen;
      }
      combined = this.#pair(combined, seen);
    }
    return combined < 0 ? this.#inputOf(0, []) : (this.#combined[combined] ?? 0);
  }

  /** A number for what was seen of the sources so far and of the next; `#combined` then holds that of all joined. */
  #pair(before: number, seen: number): number {
    const key = (before + 1) * 16_777_216 + seen;
    const known = this.#pairs.get(key);
    if (known !== undefined) return known;
    const parts = [...(before < 0 ? [] : (this.#parts[before] ?? [])), seen];
    const made = this.#parts.push(parts) - 1;
    this.#pairs.set(key, made);
    if (parts.length === this.#sources.length) this.#inputOf(made, parts);
    return made;
  }

  #inputOf(combined: number, parts: readonly number[]): number {
    const known = this.#combined[combined];
    if (known !== undefined) return known;
    const feeds = parts.map((seen) => this.#partials.feed(seen));
    const id = this.inputs.id(joined(this.#oscillator ? [this.#oscillator, ...feeds] : feeds));
    this.#combined[combined] = id;
    return id;
  }

  course(): Course {
    if (this.#course) return this.#course;
    if (this.#failure) throw this.#failure;
    if (this.#isBusy) throw new RangeError("a part rests on itself");
    this.#isBusy = true;
    try {
      this.#course = this.#follow();
    } catch (error) {
      // What cannot be told once cannot be told to whoever asks next either.
      if (error instanceof NotFollowed) this.#failure = error;
      throw error;
    }
    return this.#course;
  }

  inputSpan(): InputSpan {
    const from = this.#sources.map(({ course }) => course());
    const inputLeadTicks = Math.max(0, ...from.map(({ leadTicks }) => leadTicks));
    const inputTicks = from.reduce((ticks, { cycleTicks }) => leastCommonMultiple(ticks, cycleTicks), 1);
    if (inputTicks > MOST_COURSE_TICKS) throw new NotFollowed(`what ${nameOf(this.#part)} reads repeats too late`);
    return { inputLeadTicks, inputTicks };
  }

  stateAt(tick: number): number {
    let state = 0;
    for (let at = 0; at < tick; at++) state = this.#step(this.input(at), state).next;
    return state;
  }

  #follow(): Course {
    const { inputLeadTicks, inputTicks } = this.inputSpan();
    const inputs = Int32Array.from({ length: inputLeadTicks + inputTicks }, (_, tick) => this.input(tick));
    const states = new Growing();
    const shows = new Growing();
    const atStart = new Map<number, number>();
    let state = 0;
    for (let tick = 0; ; tick++) {
      if (tick >= inputLeadTicks && (tick - inputLeadTicks) % inputTicks === 0) {
        const before = atStart.get(state);
        if (before !== undefined) {
          const found = shortest(before, tick - before, states.array, shows.array);
          return { ...found, feeds: this.#feeds, inputTicks, inputLeadTicks, multiple: (tick - before) / inputTicks };
        }
        atStart.set(state, tick);
      }
      if (tick > MOST_COURSE_TICKS) throw new NotFollowed(`${nameOf(this.#part)} does not come back to a state`);
      const input = inputs[tick < inputs.length ? tick : inputLeadTicks + ((tick - inputLeadTicks) % inputTicks)] ?? 0;
      const step = this.#step(input, state);
      states.push(state);
      shows.push(step.shows);
      state = step.next;
    }
  }

  #step(input: number, state: number): Step {
    const known = (this.#steps[input] ??= new Map<number, Step>());
    let step = known.get(state);
    if (!step) {
      step = this.#newStep(input, state);
      known.set(state, step);
    }
    return step;
  }

  #newStep(input: number, state: number): Step {
    const { unit } = this;
    const feed = this.inputs.feed(input);
    unit.begin([state], (net) => feed.levels.get(net) ?? 0);
    const levels = new Map(this.#part.shown.map((net) => [net, ((unit.levels(net)?.[0] ?? 0) & 1) as 0 | 1] as const));
    const half = (which: 0 | 1): readonly SeenChange[] => {
      const seen: SeenChange[] = [];
      unit.watching = seen;
      unit.run(feed.halves[which]);
      unit.watching = undefined;
      return seen.filter(({ net }) => levels.has(net));
    };
    const halves = [half(0), half(1)] as const;
    if (unit.isUnsettled) throw new NotFollowed(`${nameOf(this.#part)} does not come to rest`);
    return { next: unit.states(new Float64Array(1))[0] ?? 0, shows: this.#feeds.id({ levels, halves }) };
  }
}

/** The chips of a part: `U5, U6`. */
export function nameOf({ sections }: Part): string {
  return [...new Set(sections.map(({ chip }) => chip.ref))].join(", ");
}

/** The same course with the shortest lead and cycle: a part may repeat sooner than what it reads. */
function shortest(lead: number, cycle: number, states: Float64Array, shows: Float64Array) {
  const isSame = (a: number, b: number) => states[a] === states[b] && shows[a] === shows[b];
  let cycleTicks = cycle;
  for (const prime of primesOf(cycle)) {
    while (cycleTicks % prime === 0 && repeatsIn(lead, cycle, cycleTicks / prime, isSame)) cycleTicks /= prime;
  }
  let leadTicks = lead;
  while (leadTicks > 0 && isSame(leadTicks - 1, leadTicks - 1 + cycleTicks)) leadTicks--;
  const kept = leadTicks + cycleTicks;
  return { leadTicks, cycleTicks, states: states.slice(0, kept), shows: Int32Array.from(shows.subarray(0, kept)) };
}

function repeatsIn(lead: number, cycle: number, period: number, isSame: (a: number, b: number) => boolean): boolean {
  for (let tick = lead; tick + period < lead + cycle; tick++) if (!isSame(tick, tick + period)) return false;
  return true;
}

function primesOf(value: number): number[] {
  const found: number[] = [];
  let rest = value;
  for (let factor = 2; factor * factor <= rest; factor++) {
    if (rest % factor === 0) found.push(factor);
    while (rest % factor === 0) rest /= factor;
  }
  return rest > 1 ? [...found, rest] : found;
}

export function leastCommonMultiple(a: number, b: number): number {
  return (a / greatestCommonDivisor(a, b)) * b;
}

export function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b);
}

/** A list of numbers that takes little room. */
class Growing {
  #all = new Float64Array(1024);
  #length = 0;

  get array(): Float64Array {
    return this.#all.subarray(0, this.#length);
  }

  push(value: number): void {
    if (this.#length === this.#all.length) {
      const more = new Float64Array(2 * this.#length);
      more.set(this.#all);
      this.#all = more;
    }
    this.#all[this.#length++] = value;
  }
}
