import type { Check } from "./check.js";
import type { Component } from "./components.js";
import { HIGH, LOW } from "./level-set.js";
import type { CellId, ChipModel, Model, NetModel, PinModel } from "./model.js";
import { followNet, moveOutside } from "./outside-edges.js";
import type { Effect, Happening, Reaction, Reader, Readers } from "./reactions.js";
import {
  type CellState,
  type ChipState,
  type Coming,
  type OutsideState,
  type Region,
  type Wave,
  copyOf,
  waveIn,
} from "./state.js";
import type { StateBook, StateId } from "./state-book.js";
import { checkSync } from "./strobe-checks.js";
import { type Moment, OSCILLATOR_FALL, OSCILLATOR_RISE } from "./time-line.js";
import type { Work } from "./work.js";
import { type RegionName, type WaveChanges, regionOf } from "./wave-changes.js";

/**
 * What a component did to one of its waves, as the components after it are told: a copy of the region as it was made, opened
 * or closed, in order of time.
 */
export interface FedRegion extends FedPart {
  readonly time: number;
}

/** The same, whenever it is; equal ones have equal numbers. */
export interface FedPart {
  readonly id: number;
  readonly what: "made" | "open" | "close";
  readonly cell: CellId;
  readonly region: Region;
}

/** Which sections, nets and outside signals a step deals with. */
export type StepScope = Pick<Component, "oscillates" | "outside" | "has" | "owns">;

/** What the steps of one component have in common: what was worked out once. */
export interface StepMemory {
  readonly readers: Readers;
  readonly changes: WaveChanges;
  readonly work: Work;
}

export interface StepAccess {
  readonly book: StateBook;
  readonly memory: StepMemory;
  /** The state of a cell that the steps before this one left, aged to the present tick. */
  read(cell: CellId): StateId;
  /** The same, where only what `StateBook.glance` gives of it is used. */
  glance(cell: CellId): StateId;
  /** One of `count` possibilities that the circuit cannot know; every one is explored. */
  choose(count: number): number;
}

/** What a reaction reads and does. */
interface Recording {
  readonly readings: [CellId, StateId][];
  readonly seen: Set<CellId>;
  readonly effects: Effect[];
  /** Whether nothing else reacted to it at once, so that it can be told again. */
  isAlone: boolean;
}

const UNSEEN = -1;

/**
 * One oscillator period of the proof: from the rise in tick 0 up to the next rise. Regions open at their earliest and close
 * at their latest time, in that order, so that whatever a chip meets it already knows all that could have come before.
 */
export class Step {
  readonly model: Model;
  readonly checks: Check[] = [];
  /** What this step did to waves. */
  readonly feed: FedRegion[] = [];
  readonly #access: StepAccess;
  readonly scope: StepScope;
  readonly #readers: Readers;
  readonly #changes: WaveChanges;
  /** The present state of each cell, by cell; UNSEEN where it was not looked at yet. */
  readonly #ids: Int32Array;
  /** Copies of cells that are being changed, until they get their numbers, and which of them may differ. */
  readonly #overlay = new Map<CellId, CellState>();
  readonly #dirty = new Set<CellId>();
  /** The wave that something reacts to, of which no more than a glance has been noted, and its number. */
  #held: readonly [CellId, StateId] | undefined;
  #coming: Coming[] = [];
  /** Cells whose growth is being passed on. */
  readonly #growing = new Set<CellId>();
  /** What the present reaction reads and does. */
  #record: Recording | undefined;
  /** Time reached within the tick, in fs. */
  now = 0;
  /** How often a change has turned out to have more causes than were known. */
  grown = 0;

  constructor(model: Model, scope: StepScope, access: StepAccess) {
    this.model = model;
    this.scope = scope;
    this.#access = access;
    this.#readers = access.memory.readers;
    this.#changes = access.memory.changes;
    this.#ids = new Int32Array(model.cellCount).fill(UNSEEN);
  }

  /** Runs the tick; returns what is still to come after it. `fed` is what the components before this one did in this tick. */
  run(coming: readonly Coming[], fed: readonly FedRegion[]): Coming[] {
    this.#coming = coming.map((item) => ({ ...item }));
    const { period, duty } = this.model.time;
    if (this.scope.oscillates) {
      this.#oscillator(OSCILLATOR_RISE, 0, 0);
      this.#oscillator(OSCILLATOR_FALL, Math.floor(duty.min * period.min), Math.ceil(duty.max * period.max));
    }
    for (const outside of this.scope.outside) moveOutside(this, outside);
    this.settle();
    let feedAt = 0;
    for (;;) {
      let next = -1;
      for (let i = 0; i < this.#coming.length; i++) {
        if (next < 0 || isBefore(this.#coming[i], this.#coming[next])) next = i;
      }
      const item = this.#coming[next];
      const given = fed[feedAt];
      if (given && (!item || !isBefore(item, given))) {
        feedAt++;
        this.now = Math.max(this.now, given.time);
        this.#take(given);
        continue;
      }
      if (!item || item.time >= period.min) break;
      this.#coming.splice(next, 1);
      this.now = Math.max(this.now, item.time);
      if (item.what === "open") this.#open(item);
      else this.#close(item);
    }
    return this.#coming;
  }

  /** A wave to look at; to change it take `touch` first. */
  wave(cell: CellId): Wave {
    return waveIn(this.#seen(cell));
  }

  /** A wave of which only the present matters: its level, and the changes that are under way. */
  glance(cell: CellId): Wave {
    const changed = this.#overlay.get(cell);
    if (changed) return waveIn(changed);
    const { book } = this.#access;
    const id = this.#present(cell);
    this.#note(this.model.cellCount + cell, book.glance(id));
    return waveIn(book.state(id));
  }

  /** A section's storage to look at; to change it take `touch` first. */
  chip(chip: ChipModel): ChipState {
    const state = this.#seen(chip.cell);
    if (state.kind !== "chip") throw new RangeError(`cell ${chip.cell} is no chip`);
    return state;
  }

  /** A signal from outside to look at; to change it take `touch` first. */
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

  /** The cells of these that are other than when the step began, and what they are now. */
  written(cells: readonly CellId[]): [CellId, StateId][] {
    return cells.flatMap((cell): [CellId, StateId][] => {
      const id = this.#ids[cell] ?? UNSEEN;
      return id === UNSEEN || id === this.#access.read(cell) ? [] : [[cell, id]];
    });
  }

  /** A wave that can be changed. */
  ownWave(cell: CellId): Wave {
    this.touch(cell);
    return this.wave(cell);
  }

  choose(count: number): number {
    if (this.#record) this.#record.isAlone = false;
    return this.#access.choose(count);
  }

  /** Adds a region to a wave and returns it; open it with `comeOpen` and `comeClosed`. */
  addRegion(wave: Wave, from: number, to: number, clean: boolean): Region {
    const order = wave.regions.reduce(
      (most, region) => (region.born === 0 ? Math.max(most, region.order + 1) : most),
      0,
    );
    const region: Region = {
      born: 0,
      order,
      from,
      to,
      clean,
      opened: false,
      closed: false,
      settled: false,
      early: [],
      late: [],
      steps: [],
    };
    wave.regions.push(region);
    wave.level = to;
    return region;
  }

  /** Plans the opening of a region for its earliest time; of one that is open already, tells that there are more causes. */
  comeOpen(cell: CellId, region: Region): void {
    this.#tell("made", cell, region);
    if (region.opened) {
      this.#grow(cell, region);
      return;
    }
    const time = Math.min(...region.early.map((moment) => this.model.time.earliest(moment)));
    this.#plan({ time, born: 0, what: "open", cell, regionBorn: region.born, regionOrder: region.order });
  }

  /** Plans the closing of a region for its latest time, wires included where receivers see the cell itself. */
  comeClosed(cell: CellId, region: Region): void {
    region.settled = true;
    this.#tell("made", cell, region);
    const latest = Math.max(...region.late.map((moment) => this.model.time.latest(moment)));
    const time = latest + (this.#isSeen(cell) ? this.model.circuit.wireDelay.max : 0);
    this.#plan({ time, born: 0, what: "close", cell, regionBorn: region.born, regionOrder: region.order });
  }

  /** Moments as they arrive at a receiving pin: each with the wire from its driver. */
  atPin(moments: readonly Moment[], chip: ChipModel, pin: PinModel): Moment[] {
    return moments.map(({ path, tick }) => {
      const last = this.model.time.last(path);
      const driver = (last && this.model.delays.driverOf(last)) ?? pin.net.wave;
      return { path: this.model.time.extend(path, this.model.delays.wire(driver, chip, pin)), tick };
    });
  }

  #isSeen(cell: CellId): boolean {
    const cellModel = this.model.cells[cell];
    return cellModel?.kind !== "driver" || cellModel.output.net.wave === cell;
  }

  #plan(plan: Coming): void {
    this.#record?.effects.push({ plan });
    this.#coming.push({ ...plan, time: Math.max(this.now, plan.time) });
  }

  #seen(cell: CellId): CellState {
    const changed = this.#overlay.get(cell);
    if (changed) {
      if (this.#held?.[0] === cell) {
        this.#note(...this.#held);
        this.#held = undefined;
      }
      return changed;
    }
    const id = this.#idOf(cell);
    this.#note(cell, id);
    return this.#access.book.state(id);
  }

  #note(looked: number, found: number): void {
    const record = this.#record;
    if (!record || record.seen.has(looked)) return;
    record.seen.add(looked);
    record.readings.push([looked, found]);
  }

  /** The number of a wave's present state, of which no more is used than `glance` gives. */
  #present(cell: CellId): StateId {
    const known = this.#ids[cell] ?? UNSEEN;
    return known === UNSEEN ? this.#access.glance(cell) : known;
  }

  /** What a reaction read: of a cell by its number; what a glance at it gives by its number and that of all cells. */
  readonly #look = (looked: number): number => {
    const { cellCount } = this.model;
    return looked < cellCount ? this.#idOf(looked) : this.#access.book.glance(this.#present(looked - cellCount));
  };

  /** The number of a cell's present state. */
  readonly #idOf = (cell: CellId): StateId => {
    const known = this.#ids[cell] ?? UNSEEN;
    if (known !== UNSEEN) return known;
    const id = this.#access.read(cell);
    this.#ids[cell] = id;
    return id;
  };

  #oscillator(root: number, earliest: number, latest: number): void {
    const { cell } = this.model.oscillator;
    const wave = this.ownWave(cell);
    const rise = root === OSCILLATOR_RISE;
    const region = this.addRegion(wave, rise ? LOW : HIGH, rise ? HIGH : LOW, true);
    const moment = { path: this.model.time.root(root), tick: 0 };
    region.early.push(moment);
    region.late.push(moment);
    region.settled = true;
    const item = { born: 0, cell, regionBorn: region.born, regionOrder: region.order };
    this.#plan({ ...item, time: earliest, what: "open" });
    this.#plan({ ...item, time: latest + this.model.circuit.wireDelay.max, what: "close" });
  }

  #tell(what: FedRegion["what"], cell: CellId, region: Region): void {
    const fed = this.#access.book.fed(what, cell, region);
    this.#record?.effects.push({ fed });
    this.feed.push({ time: this.now, ...fed });
  }

  /** Brings a wave of a component before this one up to date. */
  #take(fed: FedRegion): void {
    const { what, cell } = fed;
    const { after, region, grows } = this.#changes.take(this.#idOf(cell), fed);
    this.#ids[cell] = after;
    if (what === "made" && grows) this.#grow(cell, region);
    if (what === "open") this.#spread(cell, region, "open");
    if (what === "close") this.#end(cell, region);
  }

  #open(item: Coming): void {
    const turned = this.#changes.open(this.#idOf(item.cell), nameOf(item), item.cell);
    if (!turned) return;
    this.#ids[item.cell] = turned.after;
    this.feed.push({ time: this.now, ...turned.fed });
    this.#spread(item.cell, turned.region, "open");
  }

  #close(item: Coming): void {
    const first = this.#changes.close(this.#idOf(item.cell), nameOf(item), item.cell);
    if (!first) return;
    if (!first.region.opened) this.#open(item);
    const turned = this.#changes.close(this.#idOf(item.cell), nameOf(item), item.cell);
    if (!turned) return;
    this.feed.push({ time: this.now, ...turned.fed });
    this.#end(item.cell, turned.region);
  }

  #end(cell: CellId, region: Region): void {
    this.#spread(cell, region, "close");
    this.#ids[cell] = this.#changes.closed(this.#idOf(cell), region);
  }

  /** What an open region may be caused by has grown: so has what joined it. */
  #grow(cell: CellId, region: Region): void {
    // What comes back around a latch of gates is never earlier than what went out.
    if (this.#growing.has(cell)) return;
    this.#growing.add(cell);
    this.grown++;
    for (const reader of this.#readers.of(cell)) {
      if (this.#overlay.size === 0) this.#react(reader, cell, region, "grow", 0);
      else {
        // In the midst of another reaction, which then is more than its own.
        if (this.#record) this.#record.isAlone = false;
        reader.react(this, "grow", region, 0);
      }
    }
    this.#growing.delete(cell);
  }

  #spread(cell: CellId, region: Region, what: "open" | "close"): void {
    const own = this.model.cells[cell];
    const net = netOf(this.model, cell);
    if (!net) return;
    const isNet = own?.kind !== "driver" || net.wave === cell;
    if (isNet && what === "close" && this.scope.owns(net)) checkSync(this, net, region);
    const readers = this.#readers.of(cell);
    if (what === "open") for (const reader of readers) this.#react(reader, cell, region, "open", 0);
    else this.#closeAll(readers, cell, region);
    if (!isNet) return;
    for (const outside of this.scope.outside) followNet(this, outside, net, region, what);
  }

  /** A pin that several sections see is checked as a strobe once. */
  #closeAll(readers: readonly Reader[], cell: CellId, region: Region): void {
    if (readers.length < 2) {
      for (const reader of readers) this.#react(reader, cell, region, "close", 0);
      return;
    }
    const checked = new Set<string>();
    for (const reader of readers) {
      let skipped = 0;
      reader.places.forEach((place, index) => {
        if (checked.has(place)) skipped |= 1 << index;
      });
      const done = this.#react(reader, cell, region, "close", skipped);
      reader.places.forEach((place, index) => {
        if ((done >> index) & 1) checked.add(place);
      });
    }
  }

  /** Has a reader react as it is known to, or finds out how it does; returns the pins checked as strobes. */
  #react(reader: Reader, cell: CellId, name: RegionName, what: Happening, skipped: number): number {
    const known = reader.known(what, name, skipped, this.#look);
    const { work } = this.#access.memory;
    if (known) {
      work.reactionsKnown++;
      this.#replay(known);
      return known.checked;
    }
    work.reactionsFound++;
    const record: Recording = { readings: [], seen: new Set(), effects: [], isAlone: true };
    this.#record = record;
    const checksBefore = this.checks.length;
    const region = regionOf(this.#hold(cell), name);
    const checked = region ? reader.react(this, what, region, skipped) : 0;
    const writes = this.settle();
    this.#record = undefined;
    if (record.isAlone) {
      const { readings, effects } = record;
      reader.learn(what, name, skipped, readings, {
        writes,
        effects,
        checks: this.checks.slice(checksBefore),
        checked,
      });
    }
    return checked;
  }

  #replay({ writes, effects, checks }: Reaction): void {
    for (const [cell, id] of writes) this.#ids[cell] = id;
    for (const effect of effects) {
      if ("fed" in effect) this.feed.push({ time: this.now, ...effect.fed });
      else this.#coming.push({ ...effect.plan, time: Math.max(this.now, effect.plan.time) });
    }
    for (const check of checks) this.checks.push(check);
  }

  /** Keeps the objects of a wave the same while something reacts to it. */
  #hold(cell: CellId): Wave {
    const id = this.#idOf(cell);
    const { book } = this.#access;
    this.#note(this.model.cellCount + cell, book.glance(id));
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
      if (id === this.#idOf(cell)) continue;
      this.#ids[cell] = id;
      writes.push([cell, id]);
    }
    this.#overlay.clear();
    this.#dirty.clear();
    this.#held = undefined;
    return writes;
  }
}

/** The net whose receivers see a cell. */
export function netOf(model: Model, cell: CellId): NetModel | undefined {
  const cellModel = model.cells[cell];
  if (cellModel?.kind === "driver") return cellModel.output.net;
  return cellModel?.kind === "shared net" || cellModel?.kind === "outside" ? cellModel.net : undefined;
}

interface Timed {
  readonly time: number;
  readonly what: string;
}

function nameOf({ regionBorn, regionOrder }: Coming): RegionName {
  return { born: regionBorn, order: regionOrder };
}

/** Closings come before openings at the same instant; then the earlier made one. */
function isBefore(a: Timed | undefined, b: Timed | undefined): boolean {
  if (!a || !b) return a !== undefined;
  if (a.time !== b.time) return a.time < b.time;
  return a.what === "close" && b.what === "open";
}
