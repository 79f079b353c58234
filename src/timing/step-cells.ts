import { type Aspect, GLANCE, type Looked, PAST, PRESENT, WHOLE, aspectOf, cellOf, lookedAt } from "./aspects.js";
import type { CellId, ChipModel } from "./model.js";
import type { Effect } from "./reactions.js";
import {
  type CellState,
  type ChipState,
  type OutsideState,
  type Past,
  type Present,
  copyOf,
  copyPresent,
  pastOf,
  presentIn,
  waveIn,
} from "./state.js";
import type { PresentId, StateBook, StateId } from "./state-book.js";

export interface CellAccess {
  readonly book: StateBook;
  /** The state of a cell that the steps before this one left, aged to the present tick. */
  read(cell: CellId): StateId;
  /** Told what of these states was looked at, each time once, and what it was. */
  note?(looked: Looked, found: number): void;
}

/** What a reaction reads and does. */
export interface Recording {
  readonly readings: number[];
  readonly seen: Set<Looked>;
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

/** By cell, what steps that come one after the other need: cleared by each for what the one before it looked at. */
export class CellTables {
  /** The state of each cell as the step began and the present one; UNSEEN where it was not looked at yet. */
  readonly first: Int32Array;
  readonly now: Int32Array;
  /** What was looked at of the states as the step began: one bit each aspect. */
  readonly noted: Int32Array;
  readonly #seen: CellId[] = [];

  constructor(cellCount: number) {
    this.first = new Int32Array(cellCount).fill(UNSEEN);
    this.now = new Int32Array(cellCount).fill(UNSEEN);
    this.noted = new Int32Array(cellCount);
  }

  see(cell: CellId, id: StateId): void {
    this.first[cell] = id;
    this.now[cell] = id;
    this.#seen.push(cell);
  }

  clear(): void {
    for (const cell of this.#seen) {
      this.first[cell] = UNSEEN;
      this.now[cell] = UNSEEN;
      this.noted[cell] = 0;
    }
    this.#seen.length = 0;
  }
}

/** The states of cells within one step: what they are now, which are being changed, and what of them was looked at. */
export class StepCells {
  /** What the present reaction reads and does. */
  record: Recording | undefined;
  readonly #access: CellAccess;
  readonly #tables: CellTables;
  readonly #first: Int32Array;
  readonly #ids: Int32Array;
  readonly #noted: Int32Array;
  /** Copies of cells that are being changed, until they get their numbers. */
  readonly #overlay = new Map<CellId, CellState>();
  /** The same of the presents of waves, and of the wave that something reacts to; and which of them may differ. */
  readonly #presents = new Map<CellId, Present>();
  readonly #dirty = new Set<CellId>();

  /** Takes the tables over from the step before it. */
  constructor(access: CellAccess, tables: CellTables) {
    this.#access = access;
    this.#tables = tables;
    tables.clear();
    this.#first = tables.first;
    this.#ids = tables.now;
    this.#noted = tables.noted;
  }

  /** Whether cells are in the midst of being changed. */
  get areChanging(): boolean {
    return this.#overlay.size > 0 || this.#presents.size > 0;
  }

  /** The number of what a wave does at present. */
  presentId(cell: CellId): PresentId {
    return this.#look(cell, PRESENT);
  }

  /** Gives a cell the state of that number. */
  put(cell: CellId, id: StateId): void {
    this.#look(cell, WHOLE);
    this.#ids[cell] = id;
  }

  /** Gives a wave the present of that number. */
  putPresent(cell: CellId, present: PresentId): void {
    this.#look(cell, PRESENT);
    this.#ids[cell] = this.#access.book.withPresent(this.#id(cell), present);
  }

  /** A wave of which the past does not matter. */
  present(cell: CellId): Present {
    const changed = this.#overlay.get(cell);
    if (changed) return presentIn(waveIn(changed));
    this.#note(cell, PRESENT);
    return this.#presents.get(cell) ?? this.#access.book.present(this.#id(cell));
  }

  /** The changes of a wave that are past, the last first; each is looked at when it is asked for. */
  *past(cell: CellId): Iterable<Past> {
    const changed = this.#overlay.get(cell);
    if (changed) {
      const { regions } = waveIn(changed);
      for (const region of regions.slice(0, pastOf({ regions })).reverse()) yield { region, wasLast: false };
      return;
    }
    for (let number = 0; ; number++) {
      this.#note(cell, PAST + number);
      const past = this.#access.book.past(this.#id(cell), number);
      if (!past) return;
      yield past;
    }
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
    this.#note(cell, GLANCE);
    return this.#access.book.present(this.#id(cell));
  }

  chip(chip: ChipModel): ChipState {
    const state = this.#whole(chip.cell);
    if (state.kind !== "chip") throw new RangeError(`cell ${chip.cell} is no chip`);
    return state;
  }

  outside(cell: CellId): OutsideState {
    const state = this.#whole(cell);
    if (state.kind !== "outside") throw new RangeError(`cell ${cell} is no signal from outside`);
    return state;
  }

  /** Makes a cell this step's own copy. What was seen of it before must be looked up again. */
  touch(cell: CellId): void {
    const state = this.#whole(cell);
    this.#dirty.add(cell);
    if (!this.#overlay.has(cell)) this.#overlay.set(cell, copyOf(state));
  }

  /** Keeps the objects of a wave the same while something reacts to it. */
  hold(cell: CellId): Present {
    this.#note(cell, GLANCE);
    const own = copyPresent(this.#access.book.present(this.#id(cell)));
    this.#presents.set(cell, own);
    return own;
  }

  /** Numbers all that has been changed since the last time; tells the new presents of waves, and the new states of others. */
  settle(): Writes {
    const states: [CellId, StateId][] = [];
    const presents: [CellId, PresentId][] = [];
    const { book } = this.#access;
    for (const cell of this.#dirty) {
      const before = this.#id(cell);
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
        this.put(cell, now);
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
    return this.#changed(cells).map((cell) => [cell, this.#id(cell)]);
  }

  /** The same, of waves of which not all was looked at no more than what they do at present. */
  writes(cells: readonly CellId[]): Writes {
    const states: [CellId, StateId][] = [];
    const presents: [CellId, PresentId][] = [];
    const { book } = this.#access;
    for (const cell of this.#changed(cells)) {
      const id = this.#id(cell);
      if (this.#isNoted(cell, WHOLE)) states.push([cell, id]);
      else presents.push([cell, book.presentSince(id, this.#first[cell] ?? 0)]);
    }
    return { states, presents };
  }

  /** What a cell is under one aspect. */
  readonly look = (looked: Looked): number => this.#look(cellOf(looked), aspectOf(looked));

  #changed(cells: readonly CellId[]): CellId[] {
    return cells.filter((cell) => this.#ids[cell] !== this.#first[cell]);
  }

  #whole(cell: CellId): CellState {
    const changed = this.#overlay.get(cell);
    if (changed) return changed;
    this.#note(cell, WHOLE);
    return this.#access.book.state(this.#id(cell));
  }

  /** The number of a cell's present state. */
  #id(cell: CellId): StateId {
    const known = this.#ids[cell] ?? UNSEEN;
    if (known !== UNSEEN) return known;
    const id = this.#access.read(cell);
    this.#tables.see(cell, id);
    return id;
  }

  /** Looks at a cell in a reaction. */
  #note(cell: CellId, aspect: Aspect): void {
    const found = this.#look(cell, aspect);
    const { record } = this;
    const looked = lookedAt(cell, aspect);
    if (!record || record.seen.has(looked)) return;
    record.seen.add(looked);
    record.readings.push(looked, found);
  }

  #look(cell: CellId, aspect: Aspect): number {
    const id = this.#id(cell);
    this.#noteFirst(cell, aspect, id);
    return this.#access.book.aspect(id, aspect);
  }

  /** Notes what was looked at of the state as the step began. Where it has changed since, that was by what was looked at. */
  #noteFirst(cell: CellId, aspect: Aspect, id: StateId): void {
    if (this.#isNoted(cell, WHOLE) || this.#isNoted(cell, aspect)) return;
    const first = this.#first[cell] ?? 0;
    const { book } = this.#access;
    let ofFirst = aspect;
    if (id !== first && aspect === GLANCE) return;
    if (id !== first && aspect >= PAST) {
      // What has become past since then was looked at before.
      ofFirst -= book.pastsOf(id).length - book.pastsOf(first).length;
      if (ofFirst < PAST || this.#isNoted(cell, ofFirst)) return;
    }
    this.#noted[cell] = (this.#noted[cell] ?? 0) | (1 << ofFirst);
    this.#access.note?.(lookedAt(cell, ofFirst), book.aspect(first, ofFirst));
  }

  #isNoted(cell: CellId, aspect: Aspect): boolean {
    return (((this.#noted[cell] ?? 0) >> aspect) & 1) === 1;
  }
}
