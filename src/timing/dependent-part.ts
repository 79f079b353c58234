import type { Component } from "./components.js";
import { type FeedId, type Feeds, NO_FEED } from "./feeds.js";
import type { CellId, Model } from "./model.js";
import { proveStep } from "./prove-step.js";
import { type Situation, Situations } from "./situations.js";
import type { ComingId, StateBook, StateId } from "./state-book.js";

/** Number of a set of states that the dependent part may be in. */
export type GroupId = number;

/** One state of the dependent part: of each of its cells, and what is still to come. */
interface Variant {
  readonly states: Int32Array;
  readonly coming: ComingId;
}

interface GroupStep {
  readonly group: GroupId;
  readonly met: readonly Situation[];
  count: number;
  firstTick: number;
}
type Node = GroupStep | { readonly cell: CellId; readonly next: Map<StateId, Node> };

/**
 * The part of a circuit that rests on outside signals: in each tick it may be in any of a set of states, and every one is
 * followed. A set that meets the same again goes to the same set.
 */
export class DependentPart {
  readonly situations = new Situations();
  mostVariants = 1;
  readonly #model: Model;
  readonly #book: StateBook;
  readonly #feeds: Feeds;
  readonly #component: Component;
  /** Position of each cell in a variant's states. */
  readonly #position = new Map<CellId, number>();
  readonly #variants: Variant[] = [];
  readonly #variantIds = new Map<string, number>();
  readonly #groups: (readonly number[])[] = [];
  readonly #groupIds = new Map<string, GroupId>();
  readonly #steps = new Map<number, Node>();
  readonly #starts = new Map<number, number>();

  constructor(model: Model, book: StateBook, feeds: Feeds, component: Component) {
    this.#model = model;
    this.#book = book;
    this.#feeds = feeds;
    this.#component = component;
    component.cells.forEach((cell, index) => this.#position.set(cell, index));
  }

  /** The set that holds only this state, of the component's cells in their order. */
  start(states: readonly StateId[], coming: ComingId): GroupId {
    return this.#groupId([this.#variantId(states, coming)]);
  }

  /** The set one tick later. `read` gives the states of the other components' cells as the tick begins. */
  advance(group: GroupId, fed: FeedId, read: (cell: CellId) => StateId, tick: number): GroupStep {
    const key = group * 4_194_304 + fed;
    let node = this.#steps.get(key);
    while (node && "cell" in node) node = node.next.get(read(node.cell));
    const step = node ?? this.#prove(group, fed, read, key);
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

  #prove(group: GroupId, fed: FeedId, read: (cell: CellId) => StateId, key: number): GroupStep {
    const reads: { cell: CellId; state: StateId }[] = [];
    const seen = new Set<CellId>();
    const met = new Set<Situation>();
    const next = new Set<number>();
    const feed = this.#feeds.feed(fed);
    for (const id of this.#groups[group] ?? []) {
      const variant = this.#variants[id];
      if (!variant) continue;
      if (fed === NO_FEED && variant.coming === this.#book.comingId([]) && this.#model.outside.length === 0) {
        next.add(this.#aged(variant.states, variant.coming));
        continue;
      }
      const readHere = (cell: CellId): StateId => {
        const position = this.#position.get(cell);
        if (position !== undefined) return variant.states[position] ?? 0;
        const state = read(cell);
        if (!seen.has(cell)) {
          seen.add(cell);
          reads.push({ cell, state });
        }
        return state;
      };
      const start = { coming: variant.coming, fed: feed, read: readHere };
      this.situations.visit(
        this.#startId(variant.coming, fed),
        readHere,
        (choices) => proveStep(this.#model, this.#book, this.#component, start, choices),
        (situation) => {
          met.add(situation);
          const states = variant.states.slice();
          for (const [cell, state] of situation.writes) states[this.#position.get(cell) ?? 0] = state;
          next.add(this.#aged(states, situation.coming));
        },
      );
    }
    this.mostVariants = Math.max(this.mostVariants, next.size);
    const variants = [...next].sort((a, b) => a - b);
    const step: GroupStep = { group: this.#groupId(variants), met: [...met], count: 0, firstTick: -1 };
    this.#insert(key, reads, step);
    return step;
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

  #aged(states: Int32Array, coming: ComingId): number {
    const aged = Array.from(states, (state) => this.#book.aged(state, 1));
    return this.#variantId(aged, this.#book.nextComing(coming));
  }

  #startId(coming: ComingId, fed: FeedId): number {
    const key = coming * 4_194_304 + fed;
    const known = this.#starts.get(key);
    if (known !== undefined) return known;
    const id = this.#starts.size;
    this.#starts.set(key, id);
    return id;
  }

  #variantId(states: readonly StateId[], coming: ComingId): number {
    const key = `${states.join()} ${coming}`;
    const known = this.#variantIds.get(key);
    if (known !== undefined) return known;
    const id = this.#variants.push({ states: Int32Array.from(states), coming }) - 1;
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
