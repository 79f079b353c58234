import { IntTable } from "./int-table.js";
import type { CellId } from "./model.js";
import { SequenceBook } from "./sequence-book.js";
import {
  type CellState,
  type Coming,
  type Present,
  type Region,
  age,
  copyOf,
  copyRegion,
  presentIn,
  shownNow,
  waveIn,
  withPresent,
} from "./state.js";
import { putPresent, putRegion, putState } from "./state-key.js";
import type { FedPart } from "./step.js";

/** Number of a cell's state in the book; equal states have equal numbers. */
export type StateId = number;
/** Number of the present of a wave; equal presents have equal numbers, whatever is past. */
export type PresentId = number;
/** Number of a list of what is still to come. */
export type ComingId = number;

/** Keeps each different state once, so that states compare by number and situations that repeat are recognised. */
export class StateBook {
  readonly #states: CellState[] = [];
  readonly #keys = new SequenceBook();
  /** The state one tick later, where it is known. */
  readonly #next: (StateId | undefined)[] = [];
  /** Of each state, its present and that one's number. */
  readonly #presents: (Present | undefined)[] = [];
  readonly #presentIds: (PresentId | undefined)[] = [];
  readonly #presentKeys = new SequenceBook();
  readonly #presentOf: Present[] = [];
  readonly #withPresent = new IntTable();
  readonly #glances: (number | undefined)[] = [];
  readonly #glanceKeys = new SequenceBook();
  readonly #fed: FedPart[] = [];
  readonly #fedKeys = new SequenceBook();
  readonly #comings: (readonly Coming[])[] = [];
  readonly #comingKeys = new SequenceBook();
  readonly #nextComings: ComingId[] = [];
  readonly #ageComing: (coming: readonly Coming[]) => readonly Coming[];
  readonly #horizon: number;

  /** Closed changes are forgotten after `horizon` ticks. */
  constructor(horizon: number, ageComing: (coming: readonly Coming[]) => readonly Coming[]) {
    this.#ageComing = ageComing;
    this.#horizon = horizon;
  }

  /** The number of a state; the state must not change afterwards. */
  id(state: CellState): StateId {
    putState(this.#keys, state);
    const id = this.#keys.number();
    if (id === this.#states.length) this.#states.push(state);
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

  /** The state one tick later, if nothing happens in it. */
  next(id: StateId): StateId {
    return (this.#next[id] ??= this.id(age(this.state(id), 1, this.#horizon)));
  }

  /** The present of a wave, not to be changed. */
  present(id: StateId): Present {
    return (this.#presents[id] ??= presentIn(waveIn(this.state(id))));
  }

  /** The number of the present of a wave. */
  presentOf(id: StateId): PresentId {
    return (this.#presentIds[id] ??= this.presentId(this.present(id)));
  }

  /** The number of a present; it must not change afterwards. */
  presentId(present: Present): PresentId {
    putPresent(this.#presentKeys, present);
    const id = this.#presentKeys.number();
    if (id === this.#presentOf.length) this.#presentOf.push(present);
    return id;
  }

  /** The wave with the past of one and another present. */
  withPresent(id: StateId, present: PresentId): StateId {
    const known = this.#withPresent.get(id, present);
    if (known >= 0) return known;
    const given = this.#presentOf[present];
    if (!given) throw new RangeError(`no present ${present}`);
    const state = this.state(id);
    const wave = withPresent(waveIn(state), given);
    const made = this.id(state.kind === "outside" ? { ...state, wave } : wave);
    this.#withPresent.add(id, present, made);
    return made;
  }

  /** A number that is the same for waves that look the same now: the same level, the same changes that have begun. */
  glance(id: StateId): number {
    const present = this.presentOf(id);
    return (this.#glances[present] ??= this.#glance(this.present(id)));
  }

  #glance(present: Present): number {
    const { regions } = present;
    let { base } = present;
    for (const region of regions) if (region.closed) base = region.to;
    this.#glanceKeys.put(base);
    this.#glanceKeys.put(shownNow(present));
    for (const region of regions) if (region.opened && !region.closed) putRegion(this.#glanceKeys, region);
    return this.#glanceKeys.number();
  }

  /** What is told of a wave, with a copy of the region. */
  fed(what: FedPart["what"], cell: CellId, region: Region): FedPart {
    this.#fedKeys.put(cell);
    this.#fedKeys.put(what === "made" ? 0 : what === "open" ? 1 : 2);
    putRegion(this.#fedKeys, region);
    const id = this.#fedKeys.number();
    return (this.#fed[id] ??= { id, what, cell, region: copyRegion(region) });
  }

  comingId(coming: readonly Coming[]): ComingId {
    const keys = this.#comingKeys;
    for (const { time, born, what, cell, regionBorn, regionOrder } of coming) {
      keys.putLong(time);
      keys.put(born);
      keys.put(what === "open" ? 1 : 0);
      keys.put(cell);
      keys.put(regionBorn);
      keys.put(regionOrder);
    }
    const id = keys.number();
    if (id === this.#comings.length) this.#comings.push(coming);
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
