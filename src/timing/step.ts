import type { ExternalInput } from "../circuit/circuit.js";
import type { Edge } from "../parts/index.js";
import { fs } from "../quantity/index.js";
import type { Check } from "./check.js";
import type { Component } from "./components.js";
import { ChipStep } from "./chip-step.js";
import { EITHER, HIGH, LOW } from "./level-set.js";
import type { CellId, ChipModel, Model, NetModel, OutsideModel, PinModel } from "./model.js";
import { closeShared, growShared, openShared } from "./shared-net.js";
import { type CellState, type ChipState, type Coming, type Region, type Wave, copyOf } from "./state.js";
import { isEqual } from "./moments.js";
import { checkStrobe, checkSync } from "./strobe-checks.js";
import { type Moment, OSCILLATOR_FALL, OSCILLATOR_RISE, outsideRoot } from "./time-line.js";

/** What a step may read of the state that the steps before it left, aged to the present tick. It must not change what it gets. */
/**
 * What a component did to one of its waves, as the components after it are told: a copy of the region as it was made, opened
 * or closed, in order of time.
 */
export interface FedRegion {
  readonly time: number;
  readonly what: "made" | "open" | "close";
  readonly cell: CellId;
  readonly region: Region;
}

/** Which sections, nets and outside signals a step deals with. */
export type StepScope = Pick<Component, "oscillates" | "outside" | "has" | "owns">;

export interface StepAccess {
  read(cell: CellId): CellState;
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
  /** Everything that may have been changed. */
  readonly touched = new Map<CellId, CellState>();
  readonly #cells = new Map<CellId, CellState>();
  /** What this step did to waves. */
  readonly feed: FedRegion[] = [];
  readonly #access: StepAccess;
  readonly #scope: StepScope;
  #coming: Coming[] = [];
  /** Cells whose growth is being passed on. */
  readonly #growing = new Set<CellId>();
  /** Time reached within the tick, in fs. */
  now = 0;

  constructor(model: Model, scope: StepScope, access: StepAccess) {
    this.model = model;
    this.#scope = scope;
    this.#access = access;
  }

  /** Runs the tick; returns what is still to come after it. `fed` is what the components before this one did in this tick. */
  run(coming: readonly Coming[], fed: readonly FedRegion[]): Coming[] {
    this.#coming = coming.map((item) => ({ ...item }));
    const { period, duty } = this.model.time;
    if (this.#scope.oscillates) {
      this.#oscillator(OSCILLATOR_RISE, 0, 0);
      this.#oscillator(OSCILLATOR_FALL, Math.floor(duty.min * period.min), Math.ceil(duty.max * period.max));
    }
    for (const outside of this.#scope.outside) this.#outside(outside);
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
    const state = this.#seen(cell);
    if (state.kind === "outside") return state.wave;
    if (state.kind !== "wave") throw new RangeError(`cell ${cell} is no wave`);
    return state;
  }

  /** A section's storage to look at; to change it take `touch` first. */
  chip(chip: ChipModel): ChipState {
    const state = this.#seen(chip.cell);
    if (state.kind !== "chip") throw new RangeError(`cell ${chip.cell} is no chip`);
    return state;
  }

  /** Makes a cell this step's own copy. What was seen of it before must be looked up again. */
  touch(cell: CellId): void {
    if (this.touched.has(cell)) return;
    const own = copyOf(this.#seen(cell));
    this.touched.set(cell, own);
    this.#cells.set(cell, own);
  }

  /** A wave that can be changed. */
  ownWave(cell: CellId): Wave {
    this.touch(cell);
    return this.wave(cell);
  }

  choose(count: number): number {
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
    this.#feedCopy("made", cell, region);
    if (region.opened) {
      this.#grow(cell, region);
      return;
    }
    const time = Math.max(this.now, Math.min(...region.early.map((moment) => this.model.time.earliest(moment))));
    this.#plan({ time, born: 0, what: "open", cell, regionBorn: region.born, regionOrder: region.order });
  }

  /** Plans the closing of a region for its latest time, wires included where receivers see the cell itself. */
  comeClosed(cell: CellId, region: Region): void {
    region.settled = true;
    this.#feedCopy("made", cell, region);
    const latest = Math.max(...region.late.map((moment) => this.model.time.latest(moment)));
    const time = Math.max(this.now, latest + (this.#isSeen(cell) ? this.model.circuit.wireDelay.max : 0));
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

  #plan(item: Coming): void {
    this.#coming.push(item);
  }

  #seen(cell: CellId): CellState {
    const known = this.#cells.get(cell);
    if (known) return known;
    const state = this.#access.read(cell);
    this.#cells.set(cell, state);
    return state;
  }

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

  /** An outside signal that may change at any time does or does not change in this tick, as far as its least times allow. */
  #outside(outside: OutsideModel): void {
    const { timing } = outside.input;
    if (timing.kind !== "any time" || this.model.outsideStepTicks === 0) return;
    const seen = this.#seen(outside.cell);
    if (seen.kind !== "outside" || seen.phase !== 0) return;
    const { period } = this.model.time;
    const [only, another] = outside.edges;
    if (!only) return;
    const edge: Edge = another ? (seen.wave.level === HIGH ? "fall" : "rise") : only;
    const since = (tick: number) => (this.model.outsideStepTicks - tick) * period.max;
    const cycle = Math.max(timing.leastRepeat, timing.leastHigh + timing.leastLow);
    const may = another
      ? edge === "fall"
        ? since(seen.rose) > timing.leastHigh
        : since(seen.fell) > timing.leastLow && since(seen.rose) > timing.leastRepeat
      : since(edge === "rise" ? seen.rose : seen.fell) > cycle;
    if (!may || this.choose(2) === 0) return;
    this.touch(outside.cell);
    const state = this.#seen(outside.cell);
    if (state.kind !== "outside") return;
    if (edge === "fall") state.fell = 0;
    else {
      state.rose = 0;
      // How long it was low before matters to nothing any more.
      if (another) state.fell = -state.fallMatters;
    }
    const followers = this.#scope.outside.filter(
      ({ input }) =>
        input.timing.kind === "steady around" && input.timing.net === outside.input.net && input.timing.edge === edge,
    );
    const lead = Math.max(
      0,
      ...followers.map(({ input }) => (input.timing.kind === "steady around" ? input.timing.before : 0)),
    );
    const root = this.model.time.root(outsideRoot(this.model.outside.indexOf(outside), edge));
    const after = (delay: number): Moment => ({
      path: this.model.time.extend(
        root,
        this.model.delays.outside(`${outside.net.net.name} ${edge}`, outside.net.net.name, fs(delay), fs(delay)),
      ),
      tick: 0,
    });
    const region = this.addRegion(state.wave, edge === "fall" ? HIGH : LOW, edge === "fall" ? LOW : HIGH, true);
    region.early.push(after(lead));
    region.late.push(after(lead));
    this.comeOpen(outside.cell, region);
    this.comeClosed(outside.cell, region);
    for (const follower of followers) {
      if (follower.input.timing.kind !== "steady around") continue;
      const wave = this.ownWave(follower.cell);
      for (const open of wave.regions) {
        if (open.settled) continue;
        open.late.push(after(lead - follower.input.timing.before));
        this.comeClosed(follower.cell, open);
      }
      const next = this.addRegion(wave, EITHER, EITHER, false);
      next.early.push(after(lead + follower.input.timing.after));
      this.comeOpen(follower.cell, next);
    }
  }

  #feedCopy(what: FedRegion["what"], cell: CellId, region: Region): void {
    const copy = { ...region, early: [...region.early], late: [...region.late] };
    this.feed.push({ time: this.now, what, cell, region: copy });
  }

  /** Brings a wave of a component before this one up to date. */
  #take({ what, cell, region }: FedRegion): void {
    const wave = this.ownWave(cell);
    let own = wave.regions.find((r) => r.born === region.born && r.order === region.order);
    if (!own) {
      own = { ...region };
      wave.regions.push(own);
    }
    const hasGrown = own !== region && !isEqual(own.early, region.early);
    Object.assign(own, { ...region, early: [...region.early], late: [...region.late], closed: own.closed });
    if (own === wave.regions.at(-1)) wave.level = own.to;
    if (what === "made" && hasGrown && own.opened && !own.closed) this.#grow(cell, own);
    if (what === "open") this.#begin(cell, own);
    if (what === "close") this.#end(cell, own);
  }

  #find(item: Coming): Region | undefined {
    return this.ownWave(item.cell).regions.find((r) => r.born === item.regionBorn && r.order === item.regionOrder);
  }

  #open(item: Coming): void {
    const region = this.#find(item);
    if (!region || region.opened) return;
    region.opened = true;
    this.#feedCopy("open", item.cell, region);
    this.#begin(item.cell, region);
  }

  #close(item: Coming): void {
    const region = this.#find(item);
    if (!region || region.closed) return;
    if (!region.opened) this.#open(item);
    this.#feedCopy("close", item.cell, region);
    this.#end(item.cell, region);
  }

  #begin(cell: CellId, region: Region): void {
    const own = this.model.cells[cell];
    if (own?.kind === "driver" && own.output.net.wave !== cell) {
      if (this.#scope.owns(own.output.net)) openShared(this, own.output.net, cell, region);
    } else this.#spread(cell, region, "open");
  }

  /** What an open region may be caused by has grown: so has what joined it. */
  #grow(cell: CellId, region: Region): void {
    // What comes back around a latch of gates is never earlier than what went out.
    if (this.#growing.has(cell)) return;
    this.#growing.add(cell);
    this.#passGrowth(cell, region);
    this.#growing.delete(cell);
  }

  #passGrowth(cell: CellId, region: Region): void {
    const own = this.model.cells[cell];
    if (own?.kind === "driver" && own.output.net.wave !== cell) {
      if (this.#scope.owns(own.output.net)) growShared(this, own.output.net, cell, region);
      return;
    }
    for (const [chip, pins] of this.#readersOf(cell)) new ChipStep(this, chip).grow(pins, region);
  }

  /** The sections here that see a cell, with the pins at which they do. */
  #readersOf(cell: CellId): readonly (readonly [ChipModel, readonly PinModel[]])[] {
    const receivers = netOf(this.model, cell)?.receivers ?? [];
    const chips = [...new Set(receivers.map(({ chip }) => chip))].filter((chip) => this.#scope.has(chip));
    return chips.map((chip) => [chip, receivers.filter((receiver) => receiver.chip === chip).map(({ pin }) => pin)]);
  }

  #end(cell: CellId, region: Region): void {
    const own = this.model.cells[cell];
    if (own?.kind === "driver" && own.output.net.wave !== cell) {
      if (this.#scope.owns(own.output.net)) closeShared(this, own.output.net, cell, region);
    } else this.#spread(cell, region, "close");
    region.closed = true;
  }

  #spread(cell: CellId, region: Region, what: "open" | "close"): void {
    const net = netOf(this.model, cell);
    if (!net) return;
    if (what === "close" && this.#scope.owns(net)) checkSync(this, net, region);
    const checked = new Set<string>();
    for (const [chip, pins] of this.#readersOf(cell)) {
      const chipStep = new ChipStep(this, chip);
      if (what === "open") chipStep.open(pins, region);
      else {
        for (const pin of pins) {
          const place = `${chip.chip.ref} ${pin.name}`;
          if (!checked.has(place) && checkStrobe(chipStep, { pin, region })) checked.add(place);
        }
        chipStep.close(pins, region);
      }
    }
    for (const outside of this.#scope.outside) this.#follow(outside.input, outside.cell, net, region, what);
  }

  /** An outside signal that follows a net's edge within a window. */
  #follow(input: ExternalInput, cell: CellId, net: NetModel, region: Region, what: "open" | "close"): void {
    const { timing } = input;
    if (timing.kind !== "after" || timing.net !== net.net.id) return;
    const begins = timing.edge === "rise" ? LOW : HIGH;
    if (!(region.from & begins) || !(region.to & (EITHER & ~begins))) return;
    const wave = this.ownWave(cell);
    const own = this.model.nets[input.net]?.net.name ?? "";
    const label = `${own} after ${net.net.name} ${timing.edge}`;
    const delay = this.model.delays.outside(label, own, timing.delay.min, timing.delay.max);
    const extend = (moments: readonly Moment[]) =>
      moments.map(({ path, tick }) => ({ path: this.model.time.extend(path, delay), tick }));
    if (what === "open") {
      const follower = this.addRegion(wave, EITHER, EITHER, true);
      this.model.time.addEarly(follower.early, extend(region.early));
      wave.members = [{ slot: 0, born: region.born, order: region.order, closed: false, changes: [] }];
      this.comeOpen(cell, follower);
      return;
    }
    const follower = wave.regions.at(-1);
    if (!follower || wave.members.length === 0) return;
    this.model.time.addEarly(follower.early, extend(region.early));
    this.model.time.addLate(follower.late, extend(region.late));
    wave.members = [];
    this.comeClosed(cell, follower);
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

/** Closings come before openings at the same instant; then the earlier made one. */
function isBefore(a: Timed | undefined, b: Timed | undefined): boolean {
  if (!a || !b) return a !== undefined;
  if (a.time !== b.time) return a.time < b.time;
  return a.what === "close" && b.what === "open";
}
