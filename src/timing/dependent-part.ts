import { ComponentStates, type ComponentStateId } from "./component-states.js";
import type { Component } from "./components.js";
import { type FeedId, type Feeds, NO_FEED } from "./feeds.js";
import type { CellId, Model } from "./model.js";
import { proveStep } from "./prove-step.js";
import { type Situation, Situations } from "./situations.js";
import type { ComingId, StateBook, StateId } from "./state-book.js";

/** More states than this at one time are not followed: a board whose requests come to rest has a few hundred. */
const MOST_VARIANTS = 600;

/** Thrown where signals from outside leave a circuit in more states than can be followed. */
export class TooManyStates extends Error {
  readonly states: number;

  constructor(states: number) {
    super(`the signals from outside leave the circuit in more than ${MOST_VARIANTS} states at once`);
    this.states = states;
  }
}

/** Number of a set of states that the dependent part may be in. */
export type GroupId = number;

export interface GroupStep {
  readonly group: GroupId;
  /** The situations met by any of the states, each once. */
  readonly met: readonly Situation[];
  count: number;
  firstTick: number;
}
type Node = GroupStep | { readonly cell: CellId; readonly next: Map<StateId, Node> };

/** One component of the dependent part. */
interface Part {
  readonly component: Component;
  readonly states: ComponentStates;
  readonly situations: Situations;
  readonly starts: Map<number, number>;
  /** Outside signals may change without anything else happening. */
  readonly isRestless: boolean;
}

/** What every component did so far in a step of one state: undefined where it is idle or does not come before. */
type Done = readonly (Situation | undefined)[];

/**
 * The components that rest on outside signals or memory contents. Together they may be in any of a set of states in each
 * tick, and every one is followed; a set that meets the same again goes to the same set.
 */
export class DependentPart {
  mostVariants = 1;
  readonly #model: Model;
  readonly #book: StateBook;
  readonly #feeds: Feeds;
  readonly #parts: readonly Part[];
  /** Position in `#parts` of the component that holds a cell. */
  readonly #partOf = new Map<CellId, number>();
  readonly #nothing: ComingId;
  readonly #variants: (readonly ComponentStateId[])[] = [];
  readonly #variantIds = new Map<string, number>();
  readonly #groups: (readonly number[])[] = [];
  readonly #groupIds = new Map<string, GroupId>();
  readonly #steps = new Map<number, Node>();

  constructor(model: Model, book: StateBook, feeds: Feeds, components: readonly Component[]) {
    this.#model = model;
    this.#book = book;
    this.#feeds = feeds;
    this.#nothing = book.comingId([]);
    this.#parts = components.map((component) => ({
      component,
      states: new ComponentStates(book, component),
      situations: new Situations(),
      starts: new Map(),
      isRestless: component.outside.some(({ input, edges }) => input.timing.kind === "any time" && edges.length > 0),
    }));
    this.#parts.forEach(({ component }, index) => {
      for (const cell of component.cells) this.#partOf.set(cell, index);
    });
  }

  get situationCount(): number {
    return this.#parts.reduce((sum, { situations }) => sum + situations.all.length, 0);
  }

  /** The set that holds only this state. */
  start(stateOf: (cell: CellId) => StateId): GroupId {
    const states = this.#parts.map(({ component, states: known }) =>
      known.id(component.cells.map(stateOf), this.#nothing),
    );
    return this.#groupId([this.#variantId(states)]);
  }

  /**
   * The set one tick later. `fed` numbers all that the dependent part sees of what the components that run by themselves do,
   * which `doneNow` gives; `read` gives the states of their cells as the tick begins.
   */
  advance(group: GroupId, fed: FeedId, doneNow: () => Done, read: (cell: CellId) => StateId, tick: number): GroupStep {
    const key = group * 4_194_304 + fed;
    let node = this.#steps.get(key);
    while (node && "cell" in node) node = node.next.get(read(node.cell));
    const step = node ?? this.#prove(group, doneNow(), read, key);
    if (step.count++ === 0) step.firstTick = tick;
    return step;
  }

  /** Every step taken, with the situations met in it. */
  steps(): readonly GroupStep[] {
    const all: GroupStep[] = [];
    const collect = (node: Node): void => {
      if ("cell" in node) for (const next of node.next.values()) collect(next);
      else all.push(node);
    };
    for (const node of this.#steps.values()) collect(node);
    return all;
  }

  #prove(group: GroupId, done: Done, read: (cell: CellId) => StateId, key: number): GroupStep {
    const reads: { cell: CellId; state: StateId }[] = [];
    const seen = new Set<CellId>();
    const met = new Set<Situation>();
    const next = new Set<number>();
    const readNoted = (cell: CellId): StateId => {
      const state = read(cell);
      if (!seen.has(cell)) {
        seen.add(cell);
        reads.push({ cell, state });
      }
      return state;
    };
    for (const id of this.#groups[group] ?? []) {
      const variant = this.#variants[id] ?? [];
      const readHere = (cell: CellId): StateId => {
        const part = this.#partOf.get(cell);
        return part === undefined ? readNoted(cell) : (this.#parts[part]?.states.cell(variant[part] ?? 0, cell) ?? 0);
      };
      this.#follow(variant, done, readHere, 0, [], (states, situations) => {
        next.add(this.#variantId(states));
        for (const situation of situations) if (situation) met.add(situation);
      });
    }
    this.mostVariants = Math.max(this.mostVariants, next.size);
    if (next.size > MOST_VARIANTS) throw new TooManyStates(next.size);
    const group2 = this.#groupId([...next].sort((a, b) => a - b));
    const step: GroupStep = { group: group2, met: [...met], count: 0, firstTick: -1 };
    this.#insert(key, reads, step);
    return step;
  }

  /** Steps the components of one state in their order, and all ways to go on from each choice. */
  #follow(
    variant: readonly ComponentStateId[],
    done: Done,
    read: (cell: CellId) => StateId,
    from: number,
    states: readonly ComponentStateId[],
    found: (states: readonly ComponentStateId[], done: Done) => void,
  ): void {
    const reached = [...states];
    const doing = [...done];
    for (let index = from; index < this.#parts.length; index++) {
      const part = this.#parts[index];
      const state = variant[index] ?? 0;
      if (!part) return;
      const input = this.#fedTo(part.component, doing);
      const coming = part.states.coming(state);
      if (input === NO_FEED && coming === this.#nothing && !part.isRestless) {
        reached.push(part.states.idle(state));
        doing[part.component.index] = undefined;
        continue;
      }
      const situations: Situation[] = [];
      const start = { coming, fed: this.#feeds.feed(input), read };
      part.situations.visit(
        startOf(part, coming, input),
        read,
        (choices) => proveStep(this.#model, this.#book, part.component, start, choices),
        (situation) => situations.push(situation),
      );
      const [only, another] = situations;
      if (!only || another) {
        for (const situation of situations) {
          const after = part.states.after(state, situation.writes, situation.coming);
          const branch = [...doing];
          branch[part.component.index] = situation;
          this.#follow(variant, branch, read, index + 1, [...reached, after], found);
        }
        return;
      }
      reached.push(part.states.after(state, only.writes, only.coming));
      doing[part.component.index] = only;
    }
    const [first] = this.#parts;
    found(reached, first ? doing.slice(first.component.index) : []);
  }

  #fedTo(component: Component, done: Done): FeedId {
    let input = NO_FEED;
    for (const { component: from, cells } of component.upstream) {
      const situation = done[from];
      if (situation) input = this.#feeds.join(input, this.#feeds.seen(situation, component.index, cells));
    }
    return input;
  }

  #insert(key: number, reads: readonly { cell: CellId; state: StateId }[], step: GroupStep): void {
    const nodeFor = (index: number): Node => {
      const read = reads[index];
      return read ? { cell: read.cell, next: new Map() } : step;
    };
    let node = this.#steps.get(key);
    if (!node) {
      node = nodeFor(0);
      this.#steps.set(key, node);
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
  }

  #variantId(states: readonly ComponentStateId[]): number {
    const key = states.join();
    const known = this.#variantIds.get(key);
    if (known !== undefined) return known;
    const id = this.#variants.push(states) - 1;
    this.#variantIds.set(key, id);
    return id;
  }

  #groupId(variants: readonly number[]): GroupId {
    const key = variants.join();
    const known = this.#groupIds.get(key);
    if (known !== undefined) return known;
    const id = this.#groups.push(variants) - 1;
    this.#groupIds.set(key, id);
    return id;
  }
}

function startOf(part: Part, coming: ComingId, input: FeedId): number {
  const key = coming * 4_194_304 + input;
  const known = part.starts.get(key);
  if (known !== undefined) return known;
  const id = part.starts.size;
  part.starts.set(key, id);
  return id;
}
