import type { Check } from "./check.js";
import type { Component } from "./components.js";
import { HIGH, LOW } from "./level-set.js";
import type { CellId, ChipModel, Model, NetModel, PinModel } from "./model.js";
import { followNet, moveOutside } from "./outside-edges.js";
import type { Growth, Happening, Reaction, Reader, Readers } from "./reactions.js";
import type { ChipState, Coming, OutsideState, Past, Present, Region } from "./state.js";
import type { StateId } from "./state-book.js";
import { type CellAccess, type CellTables, type Recording, StepCells, type Writes } from "./step-cells.js";
import { checkSync } from "./strobe-checks.js";
import type { Moment } from "./moment.js";
import { OSCILLATOR_FALL, OSCILLATOR_RISE } from "./roots.js";
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
  readonly tables: CellTables;
  readonly work: Work;
}

export interface StepAccess extends CellAccess {
  readonly memory: StepMemory;
  /** One of `count` possibilities that the circuit cannot know; every one is explored. */
  choose(count: number): number;
}

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
  readonly #cells: StepCells;
  #coming: Coming[] = [];
  /** Cells whose growth is being passed on. */
  readonly #growing = new Set<CellId>();
  /** Regions that have got more causes in the present reaction. */
  readonly #grows: Growth[] = [];
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
    this.#cells = new StepCells(access, access.memory.tables);
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

  /** A wave of which the past does not matter. */
  present(cell: CellId): Present {
    return this.#cells.present(cell);
  }

  /** The changes of a wave that are past, the last first; those that nobody asks for do not matter. */
  past(cell: CellId): Iterable<Past> {
    return this.#cells.past(cell);
  }

  /** A wave of which only this matters: its level, and the changes that have begun and are not over. */
  glance(cell: CellId): Present {
    return this.#cells.glance(cell);
  }

  /** A section's storage to look at; to change it take `touch` first. */
  chip(chip: ChipModel): ChipState {
    return this.#cells.chip(chip);
  }

  /** A signal from outside to look at; to change it take `touch` first. */
  outside(cell: CellId): OutsideState {
    return this.#cells.outside(cell);
  }

  /** Makes a cell this step's own copy. What was seen of it before must be looked up again. */
  touch(cell: CellId): void {
    this.#cells.touch(cell);
  }

  /** Numbers all that has been changed since the last time. */
  settle(): void {
    this.#cells.settle();
    this.#passGrowthOn();
  }

  /** The cells of these that are other than when the step began, and what they are now. */
  written(cells: readonly CellId[]): [CellId, StateId][] {
    return this.#cells.written(cells);
  }

  /** What has been written to these cells, in terms of what was looked at. */
  writes(cells: readonly CellId[]): Writes {
    return this.#cells.writes(cells);
  }

  /** The present of a wave that can be changed. */
  ownPresent(cell: CellId): Present {
    return this.#cells.ownPresent(cell);
  }

  choose(count: number): number {
    if (this.#cells.record) this.#cells.record.isAlone = false;
    return this.#access.choose(count);
  }

  /** Adds a region to a wave and returns it; open it with `comeOpen` and `comeClosed`. */
  addRegion(wave: Pick<Present, "level" | "regions">, from: number, to: number, clean: boolean): Region {
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
      drove: false,
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
    const time = this.model.time.beginOf(region.early);
    this.#plan({ time, born: 0, what: "open", cell, regionBorn: region.born, regionOrder: region.order });
  }

  /** Plans the closing of a region for its latest time, wires included where receivers see the cell itself. */
  comeClosed(cell: CellId, region: Region): void {
    region.settled = true;
    this.#tell("made", cell, region);
    const time = this.model.time.endOf(region.late) + (this.#isSeen(cell) ? this.model.circuit.wireDelay.max : 0);
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
    this.#cells.record?.effects.push({ plan });
    this.#coming.push({ ...plan, time: Math.max(this.now, plan.time) });
  }

  #oscillator(root: number, earliest: number, latest: number): void {
    const { cell } = this.model.oscillator;
    const wave = this.ownPresent(cell);
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

  /** Tells the components after this one what is known of a change by now. */
  tellOf(cell: CellId, region: Region): void {
    this.#tell("made", cell, region);
  }

  #tell(what: FedRegion["what"], cell: CellId, region: Region): void {
    const fed = this.#access.book.fed(what, cell, region);
    this.#cells.record?.effects.push({ fed });
    this.feed.push({ time: this.now, ...fed });
  }

  /** Brings a wave of a component before this one up to date. */
  #take(fed: FedRegion): void {
    const { what, cell } = fed;
    const { after, region, grows } = this.#changes.take(this.#cells.presentId(cell), fed);
    this.#cells.putPresent(cell, after);
    if (what === "made" && grows) this.#grow(cell, region);
    if (what === "open") this.#spread(cell, region, "open");
    if (what === "close") this.#end(cell, region);
  }

  #open(item: Coming): void {
    const turned = this.#changes.open(this.#cells.presentId(item.cell), nameOf(item), item.cell);
    if (!turned) return;
    this.#cells.putPresent(item.cell, turned.after);
    this.feed.push({ time: this.now, ...turned.fed });
    this.#spread(item.cell, turned.region, "open");
  }

  #close(item: Coming): void {
    const first = this.#changes.close(this.#cells.presentId(item.cell), nameOf(item), item.cell);
    if (!first) return;
    if (!first.region.opened) this.#open(item);
    const turned = this.#changes.close(this.#cells.presentId(item.cell), nameOf(item), item.cell);
    if (!turned) return;
    this.feed.push({ time: this.now, ...turned.fed });
    this.#end(item.cell, turned.region);
  }

  #end(cell: CellId, region: Region): void {
    this.#spread(cell, region, "close");
    this.#cells.putPresent(cell, this.#changes.closed(this.#cells.presentId(cell), region));
  }

  /** What an open region may be caused by has grown: so has what joined it. */
  #grow(cell: CellId, region: RegionName): void {
    // What comes back around a latch of gates is never earlier than what went out.
    if (this.#growing.has(cell)) {
      // Elsewhere the same reaction would grow it.
      if (this.#cells.record) this.#cells.record.isAlone = false;
      return;
    }
    this.grown++;
    if (this.#cells.areChanging) {
      // In the midst of a reaction: what joined it learns of it when that has ended.
      const growth = { cell, born: region.born, order: region.order };
      this.#cells.record?.effects.push({ growth });
      this.#grows.push(growth);
      return;
    }
    this.#growing.add(cell);
    for (const reader of this.#readers.of(cell)) this.#react(reader, cell, region, "grow", 0);
    this.#growing.delete(cell);
  }

  #passGrowthOn(): void {
    for (const growth of this.#grows.splice(0)) this.#grow(growth.cell, growth);
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
    const known = reader.known(what, name, skipped, this.#cells.look);
    const { work } = this.#access.memory;
    if (known) {
      work.reactionsKnown++;
      this.#replay(known);
      return known.checked;
    }
    work.reactionsFound++;
    const record: Recording = { readings: [], seen: new Set(), effects: [], isAlone: true };
    this.#cells.record = record;
    const checksBefore = this.checks.length;
    const region = regionOf(this.#cells.hold(cell), name);
    const checked = region ? reader.react(this, what, region, skipped) : 0;
    const writes = this.#cells.settle();
    this.#cells.record = undefined;
    if (record.isAlone) {
      const { readings, effects } = record;
      reader.learn(what, name, skipped, readings, {
        writes,
        effects,
        checks: this.checks.slice(checksBefore),
        checked,
      });
    }
    this.#passGrowthOn();
    return checked;
  }

  #replay({ writes, effects, checks }: Reaction): void {
    for (const [cell, id] of writes.states) this.#cells.put(cell, id);
    for (const [cell, present] of writes.presents) this.#cells.putPresent(cell, present);
    for (const effect of effects) {
      if ("fed" in effect) this.feed.push({ time: this.now, ...effect.fed });
      else if ("growth" in effect) this.#grows.push(effect.growth);
      else this.#coming.push({ ...effect.plan, time: Math.max(this.now, effect.plan.time) });
    }
    for (const check of checks) this.checks.push(check);
    this.#passGrowthOn();
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
