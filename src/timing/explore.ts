import { type Check, placeOf } from "./check.js";
import { type Component, componentsOf } from "./components.js";
import { DependentPart, type GroupId } from "./dependent-part.js";
import { type FeedId, Feeds, NO_FEED } from "./feeds.js";
import type { CellId, Model } from "./model.js";
import { ageComing, proveStep } from "./prove-step.js";
import { LONGEST_LOOK_BACK_TICKS } from "./look-back.js";
import { type Situation, Situations } from "./situations.js";
import { drivenTogether } from "./shared-net.js";
import { startState } from "./start.js";
import { type ComingId, StateBook, type StateId } from "./state-book.js";
import type { FedRegion } from "./step.js";

/** A start may take this many ticks to run into its cycle before the proof gives up. */
const MOST_TICKS = 4_000_000;
const FIRST_SNAPSHOT_TICK = 256;
/** Stands for all dependent components together where a situation keeps what each component sees of it. */
const ALL_DEPENDENT = 1_000_000;
const TICKS_BETWEEN_REPORTS = 4096;

/** What was found at one place over the whole cycle. */
export interface PlaceResult {
  readonly worst: Check;
  /** Tick of the first occurrence with the worst margin, counted from power-up. */
  readonly tick: number;
  readonly count: number;
}

export interface Exploration {
  readonly places: readonly PlaceResult[];
  /** Oscillator periods until the control state repeats. */
  readonly cycleTicks: number;
  /** Ticks before the cycle was entered. */
  readonly leadTicks: number;
  /** Different situations that were proved, of all components together. */
  readonly situations: number;
  /** Parts of the circuit that were stepped each by itself. */
  readonly components: number;
  /** Most states of the part that rests on outside signals at one tick. */
  readonly variants: number;
}

export interface ExploreOptions {
  /** Follows so many ticks only, whether or not the state repeats by then; the cycle is given as 0. */
  readonly ticks?: number;
  /** Called now and then with the ticks done; return false to stop. */
  readonly progress?: (ticksDone: number) => boolean | undefined;
  /**
   * Called for every tick with what happened to the waves in it: of the part that rests on outside signals, every
   * possibility that was met.
   */
  readonly observe?: (tick: number, fed: readonly FedRegion[]) => void;
}

/** Follows the circuit tick by tick until its state repeats, and collects the checks of every situation met. */
export function explore(model: Model, options: ExploreOptions = {}): Exploration {
  return new Explorer(model, options).run();
}

interface Snapshot {
  readonly tick: number;
  readonly group: GroupId;
  readonly states: Int32Array;
  readonly comings: Int32Array;
  /** The cell that last told the present state from this one; looked at first. */
  hint: CellId;
}

/** A component that runs by itself. */
interface Running {
  readonly component: Component;
  readonly situations: Situations;
  readonly starts: Map<number, number>;
  /** Its cells that any dependent component sees. */
  readonly seenByDependents: ReadonlySet<CellId> | undefined;
  coming: ComingId;
  /** What it does in the present tick; undefined while it is idle. */
  now: Situation | undefined;
}

class Explorer {
  readonly #model: Model;
  readonly #options: ExploreOptions;
  readonly #book: StateBook;
  readonly #feeds = new Feeds();
  readonly #running: readonly Running[];
  readonly #dependent: DependentPart;
  readonly #selfCells: readonly CellId[];
  readonly #states: Int32Array;
  readonly #since: Int32Array;
  readonly #nothing: ComingId;
  readonly #read = (cell: CellId): StateId =>
    this.#book.aged(this.#states[cell] ?? 0, this.#tick - (this.#since[cell] ?? 0));
  /** What each component that runs by itself does in the present tick. */
  readonly #done = () => this.#running.map(({ now }) => now);
  #group: GroupId;
  readonly #components: number;
  #tick = 0;

  constructor(model: Model, options: ExploreOptions) {
    this.#model = model;
    this.#options = options;
    const repeats = model.outside.map(({ input: { timing }, edges }) =>
      timing.kind === "any time" && edges.length > 0
        ? Math.max(timing.leastRepeat, timing.leastHigh + timing.leastLow)
        : 0,
    );
    const quiet = Math.ceil(Math.max(0, ...repeats) / model.time.period.min) + model.outsideStepTicks + 2;
    this.#book = new StateBook(LONGEST_LOOK_BACK_TICKS, quiet, (coming) => ageComing(model, coming));
    this.#nothing = this.#book.comingId([]);
    const components = componentsOf(model);
    this.#components = components.length;
    const dependent = components.filter(({ isDependent }) => isDependent);
    this.#dependent = new DependentPart(model, this.#book, this.#feeds, dependent);
    this.#running = components
      .filter(({ isDependent }) => !isDependent)
      .map((component) => {
        const seen = dependent.flatMap(({ upstream }) => upstream.filter((u) => u.component === component.index));
        return {
          component,
          situations: new Situations(),
          starts: new Map(),
          seenByDependents: seen.length > 0 ? new Set(seen.flatMap(({ cells }) => [...cells])) : undefined,
          coming: this.#nothing,
          now: undefined,
        };
      });
    this.#selfCells = this.#running.flatMap(({ component }) => component.cells);
    this.#states = Int32Array.from(startState(model), (state) => this.#book.id(state));
    this.#since = new Int32Array(model.cellCount);
    this.#group = this.#dependent.start((cell) => this.#states[cell] ?? 0);
  }

  run(): Exploration {
    const snapshots: Snapshot[] = [];
    let nextSnapshot = FIRST_SNAPSHOT_TICK;
    for (; this.#tick < MOST_TICKS; this.#tick++) {
      if (this.#tick % TICKS_BETWEEN_REPORTS === 0 && this.#options.progress?.(this.#tick) === false) {
        throw new RangeError(`stopped after ${this.#tick} oscillator periods`);
      }
      const known = snapshots.find((snapshot) => this.#isAt(snapshot));
      if (known) return this.#result(this.#tick - known.tick);
      if (this.#tick === this.#options.ticks) return this.#result(0);
      if (this.#tick === nextSnapshot) {
        nextSnapshot *= 2;
        snapshots.push(this.#snapshot());
      }
      this.#advance();
    }
    throw new RangeError(`the control state does not repeat within ${this.#tick} oscillator periods`);
  }

  #advance(): void {
    const fed: FedRegion[] = [];
    for (const running of this.#running) {
      const input = this.#fedTo(running.component);
      running.now = undefined;
      if (input === NO_FEED && running.coming === this.#nothing && !running.component.oscillates) continue;
      const situation = this.#step(running, input);
      running.now = situation;
      if (situation.count++ === 0) situation.firstTick = this.#tick;
      if (this.#options.observe) fed.push(...situation.feed);
    }
    let seen = NO_FEED;
    for (const { now, seenByDependents } of this.#running) {
      if (now && seenByDependents)
        seen = this.#feeds.join(seen, this.#feeds.seen(now, ALL_DEPENDENT, seenByDependents));
    }
    const next = this.#dependent.advance(this.#group, seen, this.#done, this.#read, this.#tick);
    this.#group = next.group;
    if (this.#options.observe) {
      for (const situation of next.met) fed.push(...situation.feed);
      this.#options.observe(this.#tick, fed);
    }
    for (const running of this.#running) {
      if (!running.now) continue;
      for (const [cell, state] of running.now.writes) {
        this.#states[cell] = state;
        this.#since[cell] = this.#tick;
      }
      running.coming = this.#book.nextComing(running.now.coming);
    }
  }

  #step(running: Running, input: FeedId): Situation {
    const key = running.coming * 4_194_304 + input;
    let start = running.starts.get(key);
    if (start === undefined) {
      start = running.starts.size;
      running.starts.set(key, start);
    }
    let found = running.situations.known(start, this.#read);
    if (found) return found;
    running.situations.visit(
      start,
      this.#read,
      (choices) => {
        const begin = { coming: running.coming, fed: this.#feeds.feed(input), read: this.#read };
        return proveStep(this.#model, this.#book, running.component, begin, choices);
      },
      (situation) => {
        found = situation;
      },
    );
    if (!found) throw new RangeError("a step without an outcome");
    return found;
  }

  #fedTo(component: Component): FeedId {
    let input = NO_FEED;
    for (const { component: from, cells } of component.upstream) {
      const situation = this.#running[from]?.now;
      if (situation) input = this.#feeds.join(input, this.#feeds.seen(situation, component.index, cells));
    }
    return input;
  }

  #snapshot(): Snapshot {
    return {
      tick: this.#tick,
      group: this.#group,
      states: Int32Array.from(this.#states, (_, cell) => this.#read(cell)),
      comings: Int32Array.from(this.#running, ({ coming }) => coming),
      hint: 0,
    };
  }

  #isAt(snapshot: Snapshot): boolean {
    if (snapshot.group !== this.#group) return false;
    const differs = (cell: CellId) => snapshot.states[cell] !== this.#read(cell);
    if (this.#selfCells.includes(snapshot.hint) && differs(snapshot.hint)) return false;
    for (const cell of this.#selfCells) {
      if (!differs(cell)) continue;
      snapshot.hint = cell;
      return false;
    }
    return this.#running.every(({ coming }, index) => coming === snapshot.comings[index]);
  }

  #result(cycleTicks: number): Exploration {
    const places = new Map<string, { worst: Check; tick: number; count: number }>();
    const note = (check: Check, tick: number, count: number) => {
      const key = placeOf(check);
      const known = places.get(key);
      if (!known) {
        places.set(key, { worst: check, tick, count });
        return;
      }
      known.count += count;
      const margin = check.available - check.required;
      const worst = known.worst.available - known.worst.required;
      if (margin < worst || (margin === worst && tick < known.tick)) Object.assign(known, { worst: check, tick });
    };
    for (const check of drivenTogether(this.#model)) note(check, 0, 1);
    for (const { situations } of this.#running) {
      for (const { checks, firstTick, count } of situations.all)
        for (const check of checks) note(check, firstTick, count);
    }
    for (const { met, firstTick, count } of this.#dependent.steps()) {
      for (const { checks } of met) for (const check of checks) note(check, firstTick, count);
    }
    const situations = this.#running.reduce((sum, running) => sum + running.situations.all.length, 0);
    return {
      places: [...places.values()],
      cycleTicks,
      leadTicks: this.#tick - cycleTicks,
      situations: situations + this.#dependent.situationCount,
      components: this.#components,
      variants: this.#dependent.mostVariants,
    };
  }
}
