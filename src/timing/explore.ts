import { type Check, placeOf } from "./check.js";
import { componentsOf } from "./components.js";
import { DependentPart } from "./dependent-part.js";
import { Feeds } from "./feeds.js";
import { LONGEST_LOOK_BACK_TICKS } from "./look-back.js";
import type { CellId, Model } from "./model.js";
import { bookOf, proveStep } from "./prove-step.js";
import { RunningPart } from "./running-part.js";
import type { Shared, View } from "./seen.js";
import { drivenTogether } from "./shared-net.js";
import { LikeBits } from "./slices/like-bits.js";
import { startState } from "./start.js";
import { CellTables } from "./step-cells.js";
import { type Stretch, passes } from "./stretches.js";
import { WaveChanges } from "./wave-changes.js";
import { type WordId, Words } from "./words.js";
import { type Clock, type Work, noWork, timed } from "./work.js";

/** A start may take this many ticks to run into its cycle before the proof gives up. */
const MOST_TICKS = 4_000_000;
const FIRST_SNAPSHOT_TICK = 256;
/** Stands for all dependent components together where a situation keeps what each component sees of it. */
const ALL_DEPENDENT = 1_000_000;
/** Ticks are taken together in stretches of a power of two, of no more than so many. */
const LONGEST_STRETCH_TICKS = 4096;
const SITUATIONS_BETWEEN_REPORTS = 32;

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
  /** Follows every bit of a bus, also those that are like another. */
  readonly everyBit?: boolean;
  /** Called every few milliseconds with the ticks done; return false to stop. */
  readonly progress?: ((ticksDone: number) => boolean | undefined | void) | undefined;
  /** Called with each check that fails, in each situation in which it does. */
  readonly failed?: (check: Check) => void;
  /** Where what is done is counted. */
  readonly work?: Work;
  readonly clock?: Clock | undefined;
}

/** Follows the circuit tick by tick until its state repeats, and collects the checks of every situation met. */
export function explore(model: Model, options: ExploreOptions = {}): Exploration {
  return new Explorer(model, options).run();
}

interface Snapshot {
  readonly tick: number;
}

/** A part that sees a stretch of the parts before it. */
interface Source {
  /** Position of the part that is looked at, and of the view among those that it shows. */
  readonly part: number;
  readonly view: number;
}

class Explorer {
  readonly #model: Model;
  readonly #likeBits: LikeBits;
  readonly #options: ExploreOptions;
  readonly #running: readonly RunningPart[];
  readonly #dependent: DependentPart;
  /** What each part sees, the dependent one last. */
  readonly #sources: readonly (readonly Source[])[];
  readonly #components: number;
  readonly #snapshots: Snapshot[] = [];
  /** The states of the parts in each snapshot, by part. */
  readonly #targets: readonly number[][];
  /** Parts in the order in which they are compared: those that told a state from a snapshot last come first. */
  readonly #order: number[];
  readonly #work: Work;
  #provedSinceReport = 0;
  #tick = 0;

  constructor(whole: Model, options: ExploreOptions) {
    this.#model = whole;
    this.#likeBits = new LikeBits(whole, options.everyBit);
    const { model } = this.#likeBits;
    this.#options = options;
    this.#work = options.work ?? noWork();
    const book = bookOf(model, LONGEST_LOOK_BACK_TICKS);
    const shared: Shared = {
      ...{ model, book, feeds: new Feeds(), words: new Words(), changes: new WaveChanges(book, model.cellCount) },
      tables: new CellTables(model.cellCount),
      work: this.#work,
      prove: (...step) => this.#prove(...step),
    };
    const components = componentsOf(model);
    this.#components = components.length;
    const start = startState(model).map((state) => book.id(state));
    const stateOf = (cell: CellId) => start[cell] ?? 0;
    const running: RunningPart[] = [];
    const shown: number[] = [];
    const sources: Source[][] = [];
    const look = (part: number, to: number, seen: ReadonlySet<CellId>): [View, Source] => {
      const view = shown[part] ?? 0;
      shown[part] = view + 1;
      const from = running[part];
      if (!from) throw new RangeError(`component ${to} sees component ${part}, which comes after it`);
      return [from.show(to, seen), { part, view }];
    };
    for (const component of components.filter(({ isDependent }) => !isDependent)) {
      const seen = component.upstream.map((up) => look(up.component, component.index, up.cells));
      running.push(
        new RunningPart(
          shared,
          component,
          seen.map(([view]) => view),
          stateOf,
        ),
      );
      sources.push(seen.map(([, source]) => source));
    }
    const dependent = components.filter(({ isDependent }) => isDependent);
    const seenByDependents = running.flatMap(({ component: { index } }) => {
      const seen = dependent.flatMap(({ upstream }) => upstream.filter((up) => up.component === index));
      return seen.length > 0 ? [look(index, ALL_DEPENDENT, new Set(seen.flatMap(({ cells }) => [...cells])))] : [];
    });
    this.#running = running;
    this.#dependent = new DependentPart(
      shared,
      dependent,
      seenByDependents.map(([view]) => view),
      stateOf,
    );
    this.#sources = [...sources, seenByDependents.map(([, source]) => source)];
    this.#targets = this.#sources.map(() => []);
    this.#order = [...this.#sources.keys()].reverse();
  }

  run(): Exploration {
    const { ticks = Infinity } = this.#options;
    let nextSnapshot = FIRST_SNAPSHOT_TICK;
    while (this.#tick < MOST_TICKS) {
      if (this.#tick % LONGEST_STRETCH_TICKS === 0) this.#report();
      if (this.#tick === ticks) return this.#result(0);
      if (this.#tick === nextSnapshot) {
        nextSnapshot *= 2;
        this.#takeSnapshot();
      }
      const level = levelAt(this.#tick, Math.min(ticks, nextSnapshot) - this.#tick);
      const stretches = this.#stretches(level);
      const found = this.#firstRepeat(level, stretches);
      if (found) {
        this.#advanceTo(this.#tick + found.ticks);
        return this.#result(this.#tick - found.snapshot.tick);
      }
      this.#advance(level, stretches);
    }
    throw new RangeError(`the control state does not repeat within ${this.#tick} oscillator periods`);
  }

  #report(): void {
    this.#provedSinceReport = 0;
    if (this.#options.progress?.(this.#tick) === false) {
      throw new RangeError(`stopped after ${this.#tick} oscillator periods`);
    }
  }

  #prove(...step: Parameters<typeof proveStep>): ReturnType<typeof proveStep> {
    if (++this.#provedSinceReport >= SITUATIONS_BETWEEN_REPORTS) this.#report();
    this.#work.situations++;
    const proved = timed(this.#work, this.#options.clock, "situations", () => proveStep(...step));
    const { failed } = this.#options;
    if (failed) for (const check of proved.outcome.checks) if (check.available < check.required) failed(check);
    return proved;
  }

  /** What each part does in the 2^`level` ticks from the present one on. */
  #stretches(level: number): readonly Stretch<unknown>[] {
    const stretches: Stretch<unknown>[] = [];
    this.#sources.forEach((sources, part) => {
      const seen = sources.map(({ part: from, view }): WordId => stretches[from]?.shown[view] ?? 0);
      const { state, stretches: known } = this.#partAt(part);
      stretches.push(known.advance(level, state, seen, this.#tick));
    });
    return stretches;
  }

  #partAt(part: number): RunningPart | DependentPart {
    return this.#running[part] ?? this.#dependent;
  }

  /** Goes on by stretches that have been worked out. */
  #advance(level: number, stretches: readonly Stretch<unknown>[]): void {
    stretches.forEach((stretch, part) => {
      stretch.count++;
      this.#partAt(part).state = stretch.end;
    });
    this.#tick += 2 ** level;
  }

  #advanceTo(tick: number): void {
    while (this.#tick < tick) {
      const level = levelAt(this.#tick, tick - this.#tick);
      this.#advance(level, this.#stretches(level));
    }
  }

  #takeSnapshot(): void {
    this.#targets.forEach((targets, part) => targets.push(this.#partAt(part).state));
    this.#snapshots.push({ tick: this.#tick });
  }

  /** After how many ticks of these stretches the whole state is first that of a snapshot, and which. */
  #firstRepeat(
    level: number,
    stretches: readonly Stretch<unknown>[],
  ): { readonly ticks: number; readonly snapshot: Snapshot } | undefined {
    let wanted = 2 ** this.#snapshots.length - 1;
    for (const [place, part] of this.#order.entries()) {
      const stretch = stretches[part];
      if (stretch) wanted = passes(stretch, this.#targets[part] ?? [], wanted);
      if (wanted !== 0) continue;
      if (place > 0) this.#order.unshift(...this.#order.splice(place, 1));
      return undefined;
    }
    const snapshot = this.#snapshots.find((_, index) => (wanted >> index) & 1);
    if (level === 0) return snapshot && { ticks: 1, snapshot };
    const half = (which: 0 | 1) => stretches.flatMap(({ halves }) => halves?.[which] ?? []);
    const first = this.#firstRepeat(level - 1, half(0));
    if (first) return first;
    const second = this.#firstRepeat(level - 1, half(1));
    return second && { ...second, ticks: second.ticks + 2 ** (level - 1) };
  }

  #result(cycleTicks: number): Exploration {
    const places = new Map<string, { worst: Check; tick: number; count: number }>();
    // One check is met in many situations: its place is looked up by its name only once.
    const placesOf = new Map<Check, { worst: Check; tick: number; count: number }>();
    const placeFor = (check: Check, tick: number) => {
      const key = placeOf(check);
      const place = places.get(key) ?? { worst: check, tick, count: 0 };
      places.set(key, place);
      placesOf.set(check, place);
      return place;
    };
    const note = (check: Check, tick: number) => {
      const known = placesOf.get(check) ?? placeFor(check, tick);
      const margin = check.available - check.required;
      const worst = known.worst.available - known.worst.required;
      if (margin < worst || (margin === worst && tick < known.tick)) Object.assign(known, { worst: check, tick });
      return known;
    };
    for (const check of drivenTogether(this.#model)) note(check, 0).count++;
    for (const { stretches } of this.#running) {
      for (const { did, count } of stretches.ticks()) if (did) did.count += count;
    }
    for (const { did, count } of this.#dependent.stretches.ticks()) if (did) did.count += count;
    for (const { met, firstTick, count } of this.#dependent.steps()) {
      for (const situation of met) {
        situation.count += count;
        if (situation.firstTick < 0 || firstTick < situation.firstTick) situation.firstTick = firstTick;
      }
    }
    for (const { situations } of [...this.#running, ...this.#dependent.parts]) {
      const counts = new Map<{ count: number }, number>();
      for (const { checks, firstTick, count } of situations.all) {
        for (const check of checks) {
          const place = note(check, firstTick);
          counts.set(place, (counts.get(place) ?? 0) + count);
        }
      }
      // Sections that share a clock are parts of their own, and each of them checks it.
      for (const [place, count] of counts) place.count = Math.max(place.count, count);
    }
    const found = [...places.values()];
    for (const place of found) {
      for (const worst of this.#likeBits.ofOthers(place.worst)) places.set(placeOf(worst), { ...place, worst });
    }
    this.#likeBits.addMissing(this.#model.missing);
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

/** The level n of the longest stretch of 2^n ticks from `tick` on that keeps to whole multiples and has at most `most` ticks. */
function levelAt(tick: number, most: number): number {
  let level = 0;
  while (tick % 2 ** (level + 1) === 0 && 2 ** (level + 1) <= Math.min(most, LONGEST_STRETCH_TICKS)) level++;
  return level;
}
