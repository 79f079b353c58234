import type { Component } from "./components.js";
import type { CellId } from "./model.js";
import type { ComingId, StateBook, StateId } from "./state-book.js";
import type { Writes } from "./step-cells.js";
import { TupleBook } from "./tuple-book.js";

const NOTHING: Writes = { states: [], presents: [] };

/** Number of a state of one component: of its cells, and of what is still to come. */
export type ComponentStateId = number;

/** Keeps each different state of one component once. */
export class ComponentStates {
  readonly #book: StateBook;
  /** The cells' states by position in `Component.cells`, then what is still to come. */
  readonly #rows: TupleBook;
  readonly #row: Int32Array;
  readonly #cellCount: number;
  readonly #idle: ComponentStateId[] = [];
  /** By cell; -1 of other components' cells. */
  readonly #position: Int32Array;

  constructor(book: StateBook, component: Component) {
    this.#book = book;
    this.#position = new Int32Array(1 + Math.max(0, ...component.cells)).fill(-1);
    component.cells.forEach((cell, index) => {
      this.#position[cell] = index;
    });
    this.#cellCount = component.cells.length;
    this.#rows = new TupleBook(this.#cellCount + 1);
    this.#row = new Int32Array(this.#cellCount + 1);
  }

  get size(): number {
    return this.#rows.size;
  }

  id(states: readonly StateId[], coming: ComingId): ComponentStateId {
    return this.#rows.id([...states, coming]);
  }

  has(cell: CellId): boolean {
    return (this.#position[cell] ?? -1) >= 0;
  }

  /** The state of one of the component's cells. */
  cell(id: ComponentStateId, cell: CellId): StateId {
    return this.#rows.at(id, this.#position[cell] ?? 0);
  }

  coming(id: ComponentStateId): ComingId {
    return this.#rows.at(id, this.#cellCount);
  }

  /** The state one tick later if nothing happens in it. */
  idle(id: ComponentStateId): ComponentStateId {
    return (this.#idle[id] ??= this.after(id, NOTHING, this.coming(id)));
  }

  /** The state one tick later, after a step that wrote these cells and left this to come. */
  after(id: ComponentStateId, { states, presents }: Writes, coming: ComingId): ComponentStateId {
    const row = this.#row;
    this.#rows.copy(id, row);
    for (const [cell, state] of states) row[this.#position[cell] ?? 0] = state;
    for (const [cell, present] of presents) {
      const position = this.#position[cell] ?? 0;
      row[position] = this.#book.withPresent(row[position] ?? 0, present);
    }
    for (let i = 0; i < this.#cellCount; i++) row[i] = this.#book.next(row[i] ?? 0);
    row[this.#cellCount] = this.#book.nextComing(coming);
    return this.#rows.id(row);
  }
}
