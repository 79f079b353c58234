import { type Aspect, GLANCE, PAST, PRESENT, WHOLE } from "./aspects.js";
import { IntTable } from "./int-table.js";
import type { CellId } from "./model.js";
import { SequenceBook } from "./sequence-book.js";
import {
  type CellState,
  type Coming,
  type Past,
  type Present,
  type Region,
  age,
  copyOf,
  copyRegion,
  pastOf,
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
/** Number of a change that is past. */
export type PastId = number;
export const NO_PAST: PastId = -1;
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
  /** Of each state the numbers of the changes that are past, the last first. */
  readonly #pasts: (readonly PastId[] | undefined)[] = [];
  readonly #pastNumbered: Past[] = [];
  readonly #pastKeys = new SequenceBook();
  readonly #glances: (number | undefined)[] = [];
  readonly #glanceKeys = new SequenceBook();
  readonly #fed: FedPart[] = [];
  readonly #fedKeys = new SequenceBook();
  readonly #comings: (readonly Coming[])[] = [];
  readonly #comingKeys = new SequenceBook();
  readonly #nextComings: ComingId[] = [];
  readonly #ageComing: (coming: readonly Coming[]) => readonly Coming[];
  readonly #endOf: (region: Region) => number;
  readonly #horizon: number;

  /** Closed changes are forgotten after `horizon` ticks; `endOf` tells when a change is over at the latest. */
  constructor(
    horizon: number,
    ageComing: (coming: readonly Coming[]) => readonly Coming[],
    endOf: (region: Region) => number,
  ) {
    this.#ageComing = ageComing;
    this.#endOf = endOf;
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

  /** What a state is under one aspect; equal numbers mean that it is the same. */
  aspect(id: StateId, aspect: Aspect): number {
    if (aspect === WHOLE) return id;
    if (aspect === PRESENT) return this.presentOf(id);
    return aspect === GLANCE ? this.glance(id) : (this.pastsOf(id)[aspect - PAST] ?? NO_PAST);
  }

  /** The numbers of the changes of a wave that are past, the last first. */
  pastsOf(id: StateId): readonly PastId[] {
    return (this.#pasts[id] ??= this.#findPasts(id));
  }

  /** A change of a wave that is past, the last being number 0; undefined where there are fewer. */
  past(id: StateId, number: number): Past | undefined {
    const past = this.pastsOf(id)[number];
    return past === undefined ? undefined : this.#pastNumbered[past];
  }

  #findPasts(id: StateId): PastId[] {
    const { regions } = waveIn(this.state(id));
    let latest = -Infinity;
    const pasts = regions.slice(0, pastOf({ regions })).map((region) => {
      const end = this.#endOf(region);
      const wasLast = end >= latest;
      latest = Math.max(latest, end);
      putRegion(this.#pastKeys, region);
      this.#pastKeys.put(wasLast ? 1 : 0);
      const past = this.#pastKeys.number();
      this.#pastNumbered[past] ??= { region, wasLast };
      return past;
    });
    return pasts.reverse();
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

  /** The present of that number, not to be changed. */
  presentNumbered(present: PresentId): Present {
    const given = this.#presentOf[present];
    if (!given) throw new RangeError(`no present ${present}`);
    return given;
  }

  /** What a wave does at present, and before that since it came from a state whose changes were not over. */
  presentSince(id: StateId, before: StateId): PresentId {
    if (this.pastsOf(id).length === this.pastsOf(before).length) return this.presentOf(id);
    const wave = waveIn(this.state(id));
    return this.presentId({
      base: this.present(before).base,
      level: wave.level,
      regions: wave.regions.slice(this.pastsOf(before).length),
      members: wave.members,
    });
  }

  /** The wave with the past of one and another present. */
  withPresent(id: StateId, present: PresentId): StateId {
    const known = this.#withPresent.get(id, present);
    if (known >= 0) return known;
    const state = this.state(id);
    const wave = withPresent(waveIn(state), this.presentNumbered(present));
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
