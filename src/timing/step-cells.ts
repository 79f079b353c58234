import type { CellId, ChipModel, Model } from "./model.js";
import type { Effect } from "./reactions.js";
import {
  type CellState,
  type ChipState,
  type OutsideState,
  type Present,
  type Wave,
  copyOf,
  copyPresent,
  presentIn,
  waveIn,
  withPresent,
} from "./state.js";
import type { PresentId, StateBook, StateId } from "./state-book.js";

export interface CellAccess {
  readonly book: StateBook;
  /** The state of a cell that the steps before this one left, aged to the present tick. */
  read(cell: CellId): StateId;
  /** The same, where only what `StateBook.glance` gives of it is used. */
  glance(cell: CellId): StateId;
}

/**
 * What a reaction reads and does. What it reads of a cell is numbered by the cell; what it reads of no more than a glance at
 * it, or of its present, by the cell and once or twice the number of all cells.
 */
export interface Recording {
  readonly readings: [number, number][];
  readonly seen: Set<number>;
  readonly effects: Effect[];
  /** Whether nothing else reacted to it at once, so that it can be told again. */
  isAlone: boolean;
}

/** Cells that have changed: the new states, and of waves the new presents. */
export interface Writes {
  readonly states: readonly (readonly [CellId, StateId])[];
  readonly presents: readonly (readonly [CellId, PresentId])[];
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
  /** Copies of cells that are being changed, until they get their numbers. */
  readonly #overlay = new Map<CellId, CellState>();
  /** The same of the presents of waves, and of the wave that something reacts to; and which of them may differ. */
  readonly #presents = new Map<CellId, Present>();
  readonly #dirty = new Set<CellId>();

  constructor({ cellCount }: Pick<Model, "cellCount">, access: CellAccess) {
    this.#access = access;
    this.#cellCount = cellCount;
    this.#ids = new Int32Array(cellCount).fill(UNSEEN);
  }

  /** Whether cells are in the midst of being changed. */
  get areChanging(): boolean {
    return this.#overlay.size > 0 || this.#presents.size > 0;
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

  /** Gives the number that is to stand for a cell's state to a wave of another present. */
  putPresent(cell: CellId, present: PresentId): void {
    this.#ids[cell] = this.#access.book.withPresent(this.id(cell), present);
  }

  wave(cell: CellId): Wave {
    const wave = waveIn(this.#seen(cell));
    const own = this.#presents.get(cell);
    return own ? withPresent(wave, own) : wave;
  }

  /** A wave of which the past does not matter. */
  present(cell: CellId): Present {
    const changed = this.#overlay.get(cell);
    if (changed) return presentIn(waveIn(changed));
    const { book } = this.#access;
    const id = this.id(cell);
    this.#note(2 * this.#cellCount + cell, book.presentOf(id));
    return this.#presents.get(cell) ?? book.present(id);
  }

  /** The present of a wave, to be changed. */
  ownPresent(cell: CellId): Present {
    if (this.#overlay.has(cell)) throw new RangeError(`the whole of cell ${cell} is being changed`);
    const own = this.present(cell);
    this.#dirty.add(cell);
    if (this.#presents.has(cell)) return own;
    const copy = copyPresent(own);
    this.#presents.set(cell, copy);
    return copy;
  }

  /** A wave of which only this matters: its level, and the changes that have begun and are not over. */
  glance(cell: CellId): Present {
    const own = this.#presents.get(cell);
    if (own) return own;
    const changed = this.#overlay.get(cell);
    if (changed) return presentIn(waveIn(changed));
    const { book } = this.#access;
    const id = this.#glanced(cell);
    this.#note(this.#cellCount + cell, book.glance(id));
    return book.present(id);
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
  hold(cell: CellId): Present {
    const { book } = this.#access;
    const id = this.id(cell);
    this.#note(this.#cellCount + cell, book.glance(id));
    const own = copyPresent(book.present(id));
    this.#presents.set(cell, own);
    return own;
  }

  /** Numbers all that has been changed since the last time; tells the new presents of waves, and the new states of others. */
  settle(): Writes {
    const states: [CellId, StateId][] = [];
    const presents: [CellId, PresentId][] = [];
    const { book } = this.#access;
    for (const cell of this.#dirty) {
      const before = this.id(cell);
      const present = this.#presents.get(cell);
      const state = this.#overlay.get(cell);
      if (present) {
        const now = book.presentId(present);
        if (now === book.presentOf(before)) continue;
        this.putPresent(cell, now);
        presents.push([cell, now]);
      } else if (state) {
        const now = book.id(state);
        if (now === before) continue;
        this.#ids[cell] = now;
        states.push([cell, now]);
      }
    }
    this.#overlay.clear();
    this.#presents.clear();
    this.#dirty.clear();
    return { states, presents };
  }

  /** The cells of these that are other than when the step began, and what they are now. */
  written(cells: readonly CellId[]): [CellId, StateId][] {
    return cells.flatMap((cell): [CellId, StateId][] => {
      const id = this.#ids[cell] ?? UNSEEN;
      return id === UNSEEN || id === this.#access.read(cell) ? [] : [[cell, id]];
    });
  }

  /** What a reaction read, by the numbers of `Recording`. */
  readonly look = (looked: number): number => {
    const count = this.#cellCount;
    if (looked < count) return this.id(looked);
    const { book } = this.#access;
    return looked < 2 * count
      ? book.glance(this.#glanced(looked - count))
      : book.presentOf(this.id(looked - 2 * count));
  };

  #seen(cell: CellId): CellState {
    const changed = this.#overlay.get(cell);
    if (changed) return changed;
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

  /** The number of a wave's state, of which no more is used than `glance` gives. */
  #glanced(cell: CellId): StateId {
    const known = this.#ids[cell] ?? UNSEEN;
    return known === UNSEEN ? this.#access.glance(cell) : known;
  }
}
