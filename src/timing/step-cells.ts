import type { CellId, ChipModel, Model } from "./model.js";
import type { Effect } from "./reactions.js";
import { type CellState, type ChipState, type OutsideState, type Wave, copyOf, waveIn } from "./state.js";
import type { StateBook, StateId } from "./state-book.js";

export interface CellAccess {
  readonly book: StateBook;
  /** The state of a cell that the steps before this one left, aged to the present tick. */
  read(cell: CellId): StateId;
  /** The same, where only what `StateBook.glance` gives of it is used. */
  glance(cell: CellId): StateId;
}

/** What a reaction reads and does. */
export interface Recording {
  readonly readings: [CellId, StateId][];
  readonly seen: Set<CellId>;
  readonly effects: Effect[];
  /** Whether nothing else reacted to it at once, so that it can be told again. */
  isAlone: boolean;
}

const UNSEEN = -1;

/** The states of cells within one step: what they are now, which are being changed, and what of them was looked at. */
export class StepCells {
  /** What the present reaction reads and does. */
  record: Recording | undefined;
  readonly #access: CellAccess;
  readonly #cellCount: number;
  /** The present state of each cell, by cell; UNSEEN where it was not looked at yet. */
  readonly #ids: Int32Array;
  /** Copies of cells that are being changed, until they get their numbers, and which of them may differ. */
  readonly #overlay = new Map<CellId, CellState>();
  readonly #dirty = new Set<CellId>();
  /** The wave that something reacts to, of which no more than a glance has been noted, and its number. */
  #held: readonly [CellId, StateId] | undefined;

  constructor({ cellCount }: Pick<Model, "cellCount">, access: CellAccess) {
    this.#access = access;
    this.#cellCount = cellCount;
    this.#ids = new Int32Array(cellCount).fill(UNSEEN);
  }

  /** Whether cells are in the midst of being changed. */
  get areChanging(): boolean {
    return this.#overlay.size > 0;
  }

  /** The number of a cell's present state. */
  id(cell: CellId): StateId {
    const known = this.#ids[cell] ?? UNSEEN;
    if (known !== UNSEEN) return known;
    const id = this.#access.read(cell);
    this.#ids[cell] = id;
    return id;
  }

  put(cell: CellId, id: StateId): void {
    this.#ids[cell] = id;
  }

  wave(cell: CellId): Wave {
    return waveIn(this.#seen(cell));
  }

  /** A wave of which only the present matters: its level, and the changes that are under way. */
  glance(cell: CellId): Wave {
    const changed = this.#overlay.get(cell);
    if (changed) return waveIn(changed);
    const { book } = this.#access;
    const id = this.#present(cell);
    this.#note(this.#cellCount + cell, book.glance(id));
    return waveIn(book.state(id));
  }

  chip(chip: ChipModel): ChipState {
    const state = this.#seen(chip.cell);
    if (state.kind !== "chip") throw new RangeError(`cell ${chip.cell} is no chip`);
    return state;
  }

  outside(cell: CellId): OutsideState {
    const state = this.#seen(cell);
    if (state.kind !== "outside") throw new RangeError(`cell ${cell} is no signal from outside`);
    return state;
  }

  /** Makes a cell this step's own copy. What was seen of it before must be looked up again. */
  touch(cell: CellId): void {
    const state = this.#seen(cell);
    this.#dirty.add(cell);
    if (!this.#overlay.has(cell)) this.#overlay.set(cell, copyOf(state));
  }

  /** Keeps the objects of a wave the same while something reacts to it. */
  hold(cell: CellId): Wave {
    const { book } = this.#access;
    const id = this.id(cell);
    this.#note(this.#cellCount + cell, book.glance(id));
    this.#held = [cell, id];
    const own = book.copy(id);
    this.#overlay.set(cell, own);
    return waveIn(own);
  }

  /** Numbers all that has been changed since the last time. */
  settle(): [CellId, StateId][] {
    const writes: [CellId, StateId][] = [];
    for (const cell of this.#dirty) {
      const state = this.#overlay.get(cell);
      if (!state) continue;
      const id = this.#access.book.id(state);
      if (id === this.id(cell)) continue;
      this.#ids[cell] = id;
      writes.push([cell, id]);
    }
    this.#overlay.clear();
    this.#dirty.clear();
    this.#held = undefined;
    return writes;
  }

  /** The cells of these that are other than when the step began, and what they are now. */
  written(cells: readonly CellId[]): [CellId, StateId][] {
    return cells.flatMap((cell): [CellId, StateId][] => {
      const id = this.#ids[cell] ?? UNSEEN;
      return id === UNSEEN || id === this.#access.read(cell) ? [] : [[cell, id]];
    });
  }

  /** What a reaction read: of a cell by its number; what a glance at it gives by its number and that of all cells. */
  readonly look = (looked: number): number => {
    const count = this.#cellCount;
    return looked < count ? this.id(looked) : this.#access.book.glance(this.#present(looked - count));
  };

  #seen(cell: CellId): CellState {
    const changed = this.#overlay.get(cell);
    if (changed) {
      if (this.#held?.[0] === cell) {
        this.#note(...this.#held);
        this.#held = undefined;
      }
      return changed;
    }
    const id = this.id(cell);
    this.#note(cell, id);
    return this.#access.book.state(id);
  }

  #note(looked: number, found: number): void {
    const { record } = this;
    if (!record || record.seen.has(looked)) return;
    record.seen.add(looked);
    record.readings.push([looked, found]);
  }

  /** The number of a wave's present state, of which no more is used than `glance` gives. */
  #present(cell: CellId): StateId {
    const known = this.#ids[cell] ?? UNSEEN;
    return known === UNSEEN ? this.#access.glance(cell) : known;
  }
}
