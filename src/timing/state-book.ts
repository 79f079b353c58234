import type { CellId } from "./model.js";
import { type CellState, type Coming, type Region, age, copyOf, keyOf } from "./state.js";
import type { FedPart } from "./step.js";

/** Number of a cell's state in the book; equal states have equal numbers. */
export type StateId = number;
/** Number of a list of what is still to come. */
export type ComingId = number;

/** Keeps each different state once, so that states compare by number and situations that repeat are recognised. */
export class StateBook {
  readonly #states: CellState[] = [];
  readonly #ids = new Map<string, StateId>();
  readonly #aged: Map<number, StateId>[] = [];
  /** The state one tick later, -1 where not known yet. */
  readonly #next: StateId[] = [];
  readonly #fed = new Map<string, FedPart>();
  readonly #comings: (readonly Coming[])[] = [];
  readonly #comingIds = new Map<string, ComingId>();
  readonly #nextComings: ComingId[] = [];
  readonly #ageComing: (coming: readonly Coming[]) => readonly Coming[];
  readonly #horizon: number;
  /** Ageing by more than this changes nothing, the step of outside edges apart. */
  readonly #longest: number;

  /** Ticks after which a closed change is forgotten, and after which nothing at all matters any more. */
  constructor(horizon: number, longest: number, ageComing: (coming: readonly Coming[]) => readonly Coming[]) {
    this.#ageComing = ageComing;
    this.#horizon = horizon;
    this.#longest = 8 * Math.max(horizon, longest);
  }

  /** The number of a state; the state must not change afterwards. */
  id(state: CellState): StateId {
    const key = keyOf(state);
    const known = this.#ids.get(key);
    if (known !== undefined) return known;
    const id = this.#states.push(state) - 1;
    this.#ids.set(key, id);
    this.#aged.push(new Map());
    this.#next.push(-1);
    return id;
  }

  /** The state of that number, not to be changed. */
  state(id: StateId): CellState {
    const state = this.#states[id];
    if (!state) throw new RangeError(`no state ${id}`);
    return state;
  }

  /** A copy of the state to work on. */
  copy(id: StateId): CellState {
    return copyOf(this.state(id));
  }

  /** The state `ticks` later. */
  aged(id: StateId, ticks: number): StateId {
    if (ticks === 0) return id;
    if (ticks === 1) {
      const next = this.#next[id];
      if (next !== undefined && next >= 0) return next;
    }
    const state = this.state(id);
    // Only signals from outside look back for longer than changes are remembered.
    const shift = Math.min(ticks, state.kind === "outside" ? this.#longest : 8 * this.#horizon);
    const known = this.#aged[id]?.get(shift);
    if (known !== undefined) return known;
    const aged = this.id(age(state, shift, this.#horizon));
    this.#aged[id]?.set(shift, aged);
    if (ticks === 1) this.#next[id] = aged;
    return aged;
  }

  /** What is told of a wave, with a copy of the region. */
  fed(what: FedPart["what"], cell: CellId, region: Region): FedPart {
    const key = `${what} ${cell} ${keyOf({ kind: "wave", level: 0, regions: [region], members: [], keeps: 0 })}`;
    const known = this.#fed.get(key);
    if (known) return known;
    const copy = { ...region, early: [...region.early], late: [...region.late] };
    const made: FedPart = { id: this.#fed.size, what, cell, region: copy };
    this.#fed.set(key, made);
    return made;
  }

  comingId(coming: readonly Coming[]): ComingId {
    const key = coming.map((c) => `${c.time},${c.born},${c.what},${c.cell},${c.regionBorn},${c.regionOrder}`).join(";");
    const known = this.#comingIds.get(key);
    if (known !== undefined) return known;
    const id = this.#comings.push(coming) - 1;
    this.#comingIds.set(key, id);
    return id;
  }

  /** The same list as the next tick sees it. */
  nextComing(id: ComingId): ComingId {
    const known = this.#nextComings[id];
    if (known !== undefined) return known;
    const next = this.comingId(this.#ageComing(this.coming(id)));
    this.#nextComings[id] = next;
    return next;
  }

  coming(id: ComingId): readonly Coming[] {
    return this.#comings[id] ?? [];
  }

  get size(): number {
    return this.#states.length;
  }
}
