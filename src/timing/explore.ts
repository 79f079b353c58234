import type { Check } from "./check.js";
import { placeOf } from "./check.js";
import type { CellId, Model } from "./model.js";
import { type Reading, type Situation, Situations } from "./situations.js";
import { startState } from "./start.js";
import { type Coming, OUTSIDE_STEP_TICKS, keyOf } from "./state.js";
import { StateBook, type StateId } from "./state-book.js";
import { type FedRegion, Step, type StepScope } from "./step.js";

/** Ticks after which a change is forgotten: more than any access or slot of a video memory lasts. */
const HORIZON_TICKS = 24;
/** A start may take this many ticks to run into its cycle before the proof gives up. */
const MOST_TICKS = 4_000_000;
const FIRST_SNAPSHOT_TICK = 256;

/** What was found at one place over the whole cycle. */
export interface PlaceResult {
  readonly worst: Check;
  /** Tick of the first occurrence with the worst margin, counted from the start of the proved cycle. */
  readonly tick: number;
  readonly count: number;
}

export interface Exploration {
  readonly places: readonly PlaceResult[];
  /** Oscillator periods until the control state repeats. */
  readonly cycleTicks: number;
  /** Ticks before the cycle was entered. */
  readonly leadTicks: number;
  /** Different situations that were proved. */
  readonly situations: number;
  /** Most states of the dependent part at one tick. */
  readonly variants: number;
}

export interface ExploreOptions {
  /** Called now and then with ticks done and ticks expected; return false to stop. */
  readonly progress?: (done: number) => boolean | undefined;
}

interface Variant {
  readonly states: Int32Array;
  readonly coming: number;
}

/** Follows the circuit tick by tick until its state repeats, and collects the checks of every situation met on the cycle. */
export function explore(model: Model, options: ExploreOptions = {}): Exploration {
  return new Explorer(model, options).run();
}

class Explorer {
  readonly #model: Model;
  readonly #options: ExploreOptions;
  readonly #book: StateBook;
  /** Cells of each part. */
  readonly #isDependentCell: boolean[];
  readonly #dependentCells: CellId[];
  readonly #own = new Situations();
  readonly #dependent = new Situations();
  readonly #states: Int32Array;
  readonly #since: Int32Array;
  readonly #feeds: (readonly FedRegion[])[] = [];
  readonly #feedIds = new Map<string, number>();
  readonly #isSeenByDependents: boolean[];
  #coming = 0;
  readonly #variants: Variant[] = [];
  readonly #variantIds = new Map<string, number>();
  readonly #groups: (readonly number[])[] = [];
  readonly #groupIds = new Map<string, number>();
  readonly #groupSteps = new Map<number, GroupNode>();
  #tick = 0;
  #mostVariants = 1;

  constructor(model: Model, options: ExploreOptions) {
    this.#model = model;
    this.#options = options;
    const period = model.time.period.min;
    const repeat = Math.max(
      0,
      ...model.outside.map(({ input: { timing } }) =>
        timing.kind === "any time" ? Math.max(timing.leastRepeat, timing.leastHigh, timing.leastLow) : 0,
      ),
    );
    this.#book = new StateBook(HORIZON_TICKS, Math.ceil(repeat / period) + OUTSIDE_STEP_TICKS + 2);
    this.#isDependentCell = model.cells.map((cell) => {
      if (cell.kind === "outside") return true;
      if (cell.kind === "shared net") return this.#model.dependents.nets.has(cell.net.net.id);
      return this.#model.dependents.sections.has(cell.chip.index);
    });
    this.#isSeenByDependents = model.cells.map((cell) => {
      const net = cell.kind === "driver" ? cell.output.net : cell.kind === "shared net" ? cell.net : undefined;
      const isFollowed = model.outside.some(({ input }) => "net" in input.timing && input.timing.net === net?.net.id);
      return (
        isFollowed ||
        (net?.receivers.some(({ chip }) => model.dependents.sections.has(chip.index)) ?? false) ||
        (net !== undefined && model.dependents.nets.has(net.net.id))
      );
    });
    this.#dependentCells = this.#isDependentCell.flatMap((is, cell) => (is ? [cell] : []));
    const start = startState(model);
    this.#states = Int32Array.from(start, (state) => this.#book.id(state));
    this.#since = new Int32Array(model.cellCount);
    this.#coming = this.#book.comingId([]);
  }

  run(): Exploration {
    let group = this.#groupId([
      this.#variantId(
        this.#dependentCells.map((cell) => this.#states[cell] ?? 0),
        this.#coming,
      ),
    ]);
    const snapshots = new Map<number, { tick: number; group: number; states: Int32Array; coming: number }[]>();
    let nextSnapshot = FIRST_SNAPSHOT_TICK;
    for (; this.#tick < MOST_TICKS; this.#tick++) {
      if (this.#tick % 4096 === 0 && this.#options.progress?.(this.#tick) === false) break;
      const known = snapshots.get(group)?.find((s) => s.coming === this.#coming && this.#isSame(s.states));
      if (known) return this.#result(known.tick);
      if (this.#tick === nextSnapshot) {
        nextSnapshot *= 2;
        const snapshot = { tick: this.#tick, group, states: this.#present(), coming: this.#coming };
        snapshots.set(group, [...(snapshots.get(group) ?? []), snapshot]);
      }
      group = this.#advance(group);
    }
    throw new RangeError(`the control state does not repeat within ${this.#tick} oscillator periods`);
  }

  #advance(group: number): number {
    let own: Situation | undefined;
    this.#own.visit(
      String(this.#coming),
      (cell) => this.#read(cell),
      (choices) => this.#proveOwn(choices),
      (situation) => {
        own = situation;
      },
    );
    if (!own) throw new RangeError("no situation");
    if (own.count++ === 0) own.firstTick = this.#tick;
    const next = this.#advanceGroup(group, own);
    for (const [cell, state] of own.writes) {
      this.#states[cell] = state;
      this.#since[cell] = this.#tick;
    }
    this.#coming = this.#aged(own.coming);
    return next;
  }

  /** The state of a cell of the part that runs by itself, in the present tick. */
  #read(cell: CellId): StateId {
    return this.#book.aged(this.#states[cell] ?? 0, this.#tick - (this.#since[cell] ?? 0));
  }

  #proveOwn(choices: readonly number[]): ReturnType<typeof this.prove> {
    return this.prove(
      { runsItself: true, has: (chip) => !this.#model.dependents.sections.has(chip.index) },
      choices,
      (cell) => this.#read(cell),
      this.#coming,
      [],
    );
  }

  prove(
    scope: StepScope,
    choices: readonly number[],
    read: (cell: CellId) => StateId,
    coming: number,
    fed: readonly FedRegion[],
  ): {
    readings: readonly Reading[];
    situation: Omit<Situation, "index" | "count" | "firstTick">;
  } {
    const readings: Reading[] = [];
    const given = new Map<CellId, StateId>();
    let chosen = 0;
    const step = new Step(this.#model, scope, {
      read: (cell) => {
        const state = read(cell);
        readings.push({ cell, state });
        given.set(cell, state);
        return this.#book.state(state);
      },
      choose: (count) => {
        const taken = choices[chosen++] ?? 0;
        readings.push({ count, taken });
        return taken;
      },
    });
    const left = step.run(this.#book.coming(coming), fed);
    const writes: [CellId, StateId][] = [];
    for (const [cell, state] of step.touched) {
      if (this.#isDependentCell[cell] === scope.runsItself) continue;
      const id = this.#book.id(state);
      if (id !== given.get(cell)) writes.push([cell, id]);
    }
    return {
      readings,
      situation: { writes, coming: this.#book.comingId(left), checks: step.checks, feed: this.#feedId(step.feed) },
    };
  }

  /** Number of a feed, with only what the dependent part can see. */
  #feedId(feed: readonly FedRegion[]): number {
    const seen = feed.filter(({ cell }) => this.#isSeenByDependents[cell]);
    const key = seen
      .map(({ time, what, cell, region }) => {
        const wave = { kind: "wave" as const, level: 0, regions: [region], members: [] };
        return `${time} ${what} ${cell} ${keyOf(wave)}`;
      })
      .join("\n");
    const known = this.#feedIds.get(key);
    if (known !== undefined) return known;
    const id = this.#feeds.push(seen) - 1;
    this.#feedIds.set(key, id);
    return id;
  }

  /** What is still to come, as the next tick sees it: openings as early, closings as late as the period allows. */
  #aged(coming: number): number {
    const { period } = this.#model.time;
    const aged = this.#book.coming(coming).map((item): Coming => ({
      ...item,
      time: item.time - (item.what === "open" ? period.max : period.min),
      born: item.born - 1,
      regionBorn: item.regionBorn - 1,
    }));
    return this.#book.comingId(aged);
  }

  /** Steps every variant of the dependent part; what the group met before with the same feed is looked up. */
  #advanceGroup(group: number, own: Situation): number {
    const key = group * 1_048_576 + own.feed;
    let node = this.#groupSteps.get(key);
    while (node && "cell" in node) node = node.next.get(this.#read(node.cell));
    if (!node) node = this.#proveGroup(group, own, key);
    if (!("group" in node)) throw new RangeError("no step");
    if (node.count++ === 0) node.firstTick = this.#tick;
    return node.group;
  }

  #proveGroup(group: number, own: Situation, key: number): GroupLeaf {
    const reads: { cell: CellId; state: StateId }[] = [];
    const seen = new Set<CellId>();
    const met: Situation[] = [];
    const next = new Set<number>();
    const scope = {
      runsItself: false,
      has: (chip: { index: number }) => this.#model.dependents.sections.has(chip.index),
    };
    for (const id of this.#groups[group] ?? []) {
      const variant = this.#variants[id];
      if (!variant) continue;
      const read = (cell: CellId): StateId => {
        if (this.#isDependentCell[cell]) return variant.states[this.#dependentCells.indexOf(cell)] ?? 0;
        const state = this.#read(cell);
        if (!seen.has(cell)) {
          seen.add(cell);
          reads.push({ cell, state });
        }
        return state;
      };
      this.#dependent.visit(
        `${variant.coming} ${own.feed}`,
        read,
        (choices) => this.prove(scope, choices, read, variant.coming, this.#feeds[own.feed] ?? []),
        (situation) => {
          met.push(situation);
          const states = variant.states.slice();
          for (const [cell, state] of situation.writes) states[this.#dependentCells.indexOf(cell)] = state;
          const aged = Array.from(states, (state) => this.#book.aged(state, 1));
          next.add(this.#variantId(aged, this.#aged(situation.coming)));
        },
      );
    }
    this.#mostVariants = Math.max(this.#mostVariants, next.size);
    const leaf: GroupLeaf = { group: this.#groupId([...next].sort((a, b) => a - b)), met, count: 0, firstTick: -1 };
    const nodeFor = (index: number): GroupNode => {
      const read = reads[index];
      return read ? { cell: read.cell, next: new Map() } : leaf;
    };
    let node = this.#groupSteps.get(key);
    if (!node) {
      node = nodeFor(0);
      this.#groupSteps.set(key, node);
    }
    reads.forEach(({ state }, index) => {
      if (!node || !("cell" in node)) return;
      let next = node.next.get(state);
      if (!next) {
        next = nodeFor(index + 1);
        node.next.set(state, next);
      }
      node = next;
    });
    return leaf;
  }

  #variantId(states: readonly number[], coming: number): number {
    const key = `${states.join()} ${coming}`;
    const known = this.#variantIds.get(key);
    if (known !== undefined) return known;
    const id = this.#variants.push({ states: Int32Array.from(states), coming }) - 1;
    this.#variantIds.set(key, id);
    return id;
  }

  #groupId(variants: readonly number[]): number {
    const key = variants.join();
    const known = this.#groupIds.get(key);
    if (known !== undefined) return known;
    const id = this.#groups.push(variants) - 1;
    this.#groupIds.set(key, id);
    return id;
  }

  #present(): Int32Array {
    return Int32Array.from(this.#states, (_, cell) => (this.#isDependentCell[cell] ? 0 : this.#read(cell)));
  }

  #isSame(states: Int32Array): boolean {
    for (let cell = 0; cell < states.length; cell++) {
      if (!this.#isDependentCell[cell] && states[cell] !== this.#read(cell)) return false;
    }
    return true;
  }

  #result(lead: number): Exploration {
    const places = new Map<string, { worst: Check; tick: number; count: number }>();
    const note = (check: Check, tick: number, count: number) => {
      const key = placeOf(check);
      const margin = check.available - check.required;
      const known = places.get(key);
      if (!known) places.set(key, { worst: check, tick, count });
      else {
        known.count += count;
        const worst = known.worst.available - known.worst.required;
        if (margin < worst || (margin === worst && tick < known.tick)) Object.assign(known, { worst: check, tick });
      }
    };
    for (const situation of this.#own.all)
      for (const check of situation.checks) note(check, situation.firstTick, situation.count);
    const leaves: GroupLeaf[] = [];
    const collect = (node: GroupNode): void => {
      if ("cell" in node) for (const next of node.next.values()) collect(next);
      else leaves.push(node);
    };
    for (const node of this.#groupSteps.values()) collect(node);
    for (const leaf of leaves) {
      for (const situation of leaf.met) for (const check of situation.checks) note(check, leaf.firstTick, leaf.count);
    }
    return {
      places: [...places.values()],
      cycleTicks: this.#tick - lead,
      leadTicks: lead,
      situations: this.#own.all.length + this.#dependent.all.length,
      variants: this.#mostVariants,
    };
  }
}

interface GroupLeaf {
  readonly group: number;
  readonly met: readonly Situation[];
  count: number;
  firstTick: number;
}
type GroupNode = GroupLeaf | { readonly cell: CellId; readonly next: Map<StateId, GroupNode> };
