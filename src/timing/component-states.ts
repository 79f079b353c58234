import type { Component } from "./components.js";
import type { ComingId, StateBook, StateId } from "./state-book.js";

/** Number of a state of one component: of its cells, and of what is still to come. */
export type ComponentStateId = number;

interface ComponentState {
  /** By position in `Component.cells`. */
  readonly states: readonly StateId[];
  readonly coming: ComingId;
}

/** Keeps each different state of one component once. */
export class ComponentStates {
  readonly #book: StateBook;
  readonly #all: ComponentState[] = [];
  readonly #ids = new Map<string, ComponentStateId>();
  readonly #next: ComponentStateId[] = [];
  readonly #position = new Map<number, number>();

  constructor(book: StateBook, component: Component) {
    this.#book = book;
    component.cells.forEach((cell, index) => this.#position.set(cell, index));
  }

  id(states: readonly StateId[], coming: ComingId): ComponentStateId {
    const key = `${states.join()} ${coming}`;
    const known = this.#ids.get(key);
    if (known !== undefined) return known;
    const id = this.#all.push({ states, coming }) - 1;
    this.#ids.set(key, id);
    return id;
  }

  /** The state of one of the component's cells. */
  cell(id: ComponentStateId, cell: number): StateId {
    return this.#all[id]?.states[this.#position.get(cell) ?? -1] ?? 0;
  }

  coming(id: ComponentStateId): ComingId {
    return this.#all[id]?.coming ?? 0;
  }

  /** The state one tick later if nothing happens in it. */
  idle(id: ComponentStateId): ComponentStateId {
    const known = this.#next[id];
    if (known !== undefined) return known;
    const next = this.after(id, [], this.coming(id));
    this.#next[id] = next;
    return next;
  }

  /** The state one tick later, after a step that wrote these cells and left this to come. */
  after(id: ComponentStateId, writes: readonly (readonly [number, StateId])[], coming: ComingId): ComponentStateId {
    const states = [...(this.#all[id]?.states ?? [])];
    for (const [cell, state] of writes) states[this.#position.get(cell) ?? -1] = state;
    return this.id(
      states.map((state) => this.#book.aged(state, 1)),
      this.#book.nextComing(coming),
    );
  }
}
