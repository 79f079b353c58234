import type { Change, Edge } from "../parts/index.js";
import { checkAddressCycle } from "./address-cycle.js";
import { capture, releaseHeld } from "./capture.js";
import { ChipView, MOST_AT_ONCE, type Open, type Over } from "./chip-view.js";
import type { Logic } from "./compiled-logic.js";
import { EITHER, HIGH, LOW, type LevelSet, UNDRIVEN, asRead, isKnown } from "./level-set.js";
import type { ChipModel, GateModel, OutputModel, PinModel, StorageModel } from "./model.js";
import { bitKey, carriesData } from "./control.js";
import { isSame } from "./moments.js";
import { isRestless, reportRestless } from "./settling.js";
import { isMeantBefore, isSurelyBefore, levelMeant } from "./sampling-order.js";
import type { ChipState, Member, Region, StorageChange, Wave } from "./state.js";
import type { Step } from "./step.js";
import type { Moment } from "./time-line.js";

/** What one section does when a change at one of its pins opens or closes. */
export class ChipStep {
  readonly step: Step;
  readonly chip: ChipModel;
  #view: ChipView | undefined;

  constructor(step: Step, chip: ChipModel) {
    this.step = step;
    this.chip = chip;
  }

  get state(): ChipState {
    return this.step.chip(this.chip);
  }

  /** The section's storage to be changed. */
  get ownState(): ChipState {
    this.step.touch(this.chip.cell);
    return this.step.chip(this.chip);
  }

  /** The section's signals now; made anew after its storage has begun to change. */
  get view(): ChipView {
    this.#view ??= new ChipView(this.step, this.chip, this.state);
    return this.#view;
  }

  /** One change opens at one or more pins that share its net. */
  open(pins: readonly PinModel[], region: Region): void {
    const acting = pins.filter((pin) => pin.acts);
    if (acting.length === 0) return;
    this.#storeAll(acting.map((pin) => ({ pin, region })));
    this.#drive();
  }

  close(pins: readonly PinModel[], region: Region): void {
    for (const pin of pins) {
      for (const gate of this.chip.gates) {
        if (gate.logic.slots.includes(pin.slot)) this.#captureAt(gate, { pin, region });
      }
      checkAddressCycle(this, { pin, region });
      releaseHeld(this, { pin, region });
    }
    const edges = pins.filter((pin) => pin.acts).map((pin) => ({ pin, region }));
    if (edges.length === 0) return;
    this.#storeAll(edges);
    this.#drive();
    const isOver = (change: StorageChange) =>
      change.born === region.born && change.order === region.order && pins.some((pin) => pin.slot === change.slot);
    for (const output of this.chip.outputs) this.#closeMembers(output, edges);
    if (this.state.changes.some(isOver)) {
      const state = this.ownState;
      for (const change of state.changes) if (isOver(change)) state.stored[change.bit] = change.to;
      state.changes = state.changes.filter((change) => !isOver(change));
    }
    this.#view = new ChipView(this.step, this.chip, this.state, region);
    for (const output of this.chip.outputs) this.#finish(output);
  }

  /** An open change at these pins may have more causes than when it opened. */
  grow(pins: readonly PinModel[], region: Region): void {
    const edges = pins.map((pin) => ({ pin, region }));
    for (const output of this.chip.outputs) {
      if (!edges.some((edge) => isMember(this.step.wave(output.cell), edge))) continue;
      const wave = this.step.ownWave(output.cell);
      const newest = wave.regions.at(-1);
      if (!newest) continue;
      const before = [...newest.early];
      for (const edge of edges) {
        const changes = wave.members.find((member) => isOf(member, edge))?.changes ?? [];
        this.step.model.time.addEarly(newest.early, this.#through(output, edge, changes, this.early(edge)));
      }
      if (!isSame(before, newest.early)) this.step.comeOpen(output.cell, newest);
    }
  }

  /**
   * The level of a slot as an edge of a pin finds it: changes that are meant to come before the edge have come. Tells which
   * those are through `decided`, latest first.
   */
  sampled(slot: number, edge: Open, decided?: (pin: PinModel, region: Region, isBefore: boolean) => void): LevelSet {
    const fixed = this.chip.fixed[slot];
    if (fixed) return fixed;
    const pin = this.chip.pins.find((p) => p.slot === slot);
    if (!pin) return this.#storedBefore(slot, edge);
    const wave = this.#wave(pin);
    let level = wave.level;
    for (const region of [...wave.regions].reverse()) {
      if (pin === edge.pin && region === edge.region) {
        level = region.from;
        continue;
      }
      const isBefore = isMeantBefore(this, { pin, region }, edge);
      decided?.(pin, region, isBefore);
      if (isBefore) return levelMeant(this, { pin, region }, edge);
      level = region.from;
    }
    return level;
  }

  /**
   * Every level that a slot may have as an edge comes, in whatever order what overlaps with it comes; changes of which
   * `isMeant` is true come in the order in which they are meant.
   */
  around(slot: number, edge: Open, isMeant: (region: Region) => boolean = () => false): LevelSet {
    const pin = this.chip.pins.find((p) => p.slot === slot);
    if (!pin) return this.view.present(slot);
    const { regions, level } = this.#wave(pin);
    let levels = regions[0]?.from ?? level;
    for (const region of regions) {
      if (!region.opened && !region.closed) break;
      if (isSurelyBefore(this, { pin, region }, edge)) levels = region.to;
      else if (isMeant(region)) levels = isMeantBefore(this, { pin, region }, edge) ? region.to : levels;
      else if (!isSurelyBefore(this, edge, { pin, region })) levels |= region.clean ? region.to : EITHER;
    }
    return levels;
  }

  early({ pin, region }: Open): Moment[] {
    return this.step.atPin(region.early, this.chip, pin);
  }

  /** Late moments; of a change still open, the early ones, which are all that is known of it. */
  late({ pin, region }: Open): Moment[] {
    return this.step.atPin(region.late.length > 0 ? region.late : region.early, this.chip, pin);
  }

  #wave(pin: PinModel): Wave {
    return this.step.wave(pin.net.wave);
  }

  #storedBefore(slot: number, edge: Open): LevelSet {
    const bit = this.chip.storage.find((s) => s.slot === slot);
    if (!bit) return EITHER;
    let level = this.state.stored[bit.bit] ?? EITHER;
    for (const change of this.state.changes) {
      if (change.bit !== bit.bit || isCause(change, edge)) continue;
      const cause = this.view.opens.find((open) => isCause(change, open));
      level = cause && isSurelyBefore(this, cause, edge) ? change.to : level | change.to;
    }
    return level;
  }

  /** Brings up to date what every open change does to the storage, these first. */
  #storeAll(edges: readonly Open[]): void {
    for (const edge of edges) this.#store(edge);
    if (this.chip.storage.length === 0) return;
    for (const open of this.view.opens) {
      if (!edges.some(({ pin, region }) => pin === open.pin && region === open.region)) this.#store(open);
    }
  }

  /** Begins or brings up to date what an open change does to the storage. */
  #store(edge: Open): void {
    for (const bit of this.chip.storage) {
      const target = this.#target(bit, edge);
      if (!target) continue;
      const isThis = (change: StorageChange) => change.bit === bit.bit && isCause(change, edge);
      if (this.state.changes.some(isThis)) {
        for (const change of this.ownState.changes) if (isThis(change)) change.to = target.to;
      } else if (target.mayChange) {
        const { pin, region } = edge;
        const from = this.#storedBefore(bit.slot, edge);
        this.ownState.changes.push({
          bit: bit.bit,
          from,
          to: target.to,
          slot: pin.slot,
          born: region.born,
          order: region.order,
        });
      }
    }
    this.#view = undefined;
  }

  /** Where one storage bit may go with this input change; undefined where the change cannot touch it. */
  #target(bit: StorageModel, edge: Open): { to: LevelSet; mayChange: boolean } | undefined {
    const gate = this.chip.gates[bit.gate];
    if (!gate) return undefined;
    const { slot } = edge.pin;
    const clocked =
      bit.kind === "register" && gate.logic.slots.includes(slot) ? this.#clocked(bit, gate, edge) : undefined;
    const levelled = bit.levelSlots.has(slot) ? this.#levelled(bit, gate, edge) : undefined;
    if (!clocked && !levelled) return undefined;
    const key = bitKey(this.chip, bit.slot);
    const { dependents, control } = this.step.model;
    const isData = dependents.bits.has(key) && !control.bits.has(key);
    return {
      to: isData ? EITHER : (clocked?.to ?? 0) | (levelled?.to ?? 0),
      mayChange: (clocked?.mayChange ?? false) || (levelled?.mayChange ?? false),
    };
  }

  /** What the edge of a clock does, with all else as the edge finds it. */
  #clocked(bit: StorageModel, gate: GateModel, edge: Open): { to: LevelSet; mayChange: boolean } {
    const { slot } = edge.pin;
    const current = this.#storedBefore(bit.slot, edge);
    const found = this.#sampler(edge);
    const after = (s: number) => (s === slot ? edge.region.to : found(s));
    const first = gate.logic.possible((s) => (s === slot ? edge.region.from : found(s)));
    const last = gate.logic.possible(after);
    // Nothing is asked of an override that begins: it may come before the clock or after it, whatever is meant. Its release
    // must keep the recovery time, so it comes as it is meant.
    const releases = (s: number) => (region: Region) =>
      region.clean &&
      bit.overrides.some(({ when }) => {
        const active = (level: LevelSet) => when.possible((other) => (other === s ? level : found(other)));
        return when.slots.includes(s) && active(region.from) === HIGH && active(region.to) === LOW;
      });
    const forced = this.#forced(bit, gate, (s) =>
      bit.levelSlots.has(s) && s !== slot ? this.around(s, edge, releases(s)) : after(s),
    );
    const mayRise = (first & LOW) !== 0 && (last & HIGH) !== 0 && (first !== last || gate.logic.dependsOn(slot, after));
    if (!mayRise || !forced.hold) return { to: current, mayChange: false };
    const isCertain = first === LOW && last === HIGH && forced.value === 0;
    const now = this.#forced(bit, gate, (s) => this.view.present(s));
    const to = now.hold ? bit.next.possible(found) | (isCertain ? 0 : current) | forced.value : now.value;
    return { to, mayChange: !(to === current && isKnown(to)) };
  }

  /** What a level does at an override or at an open latch, in whatever order it comes with other changes. */
  #levelled(bit: StorageModel, gate: GateModel, edge: Open): { to: LevelSet; mayChange: boolean } {
    const { view } = this;
    const index = view.indexOf(edge);
    const self = 2 ** index;
    const current = this.#storedBefore(bit.slot, edge);
    let to = 0;
    let mayChange = false;
    const { overs, vague } = view.choices(bit.controlSlots, index);
    for (const others of overs) {
      const before = (s: number) => view.level(s, others, vague);
      const after = (s: number) => view.level(s, others + self, vague);
      const first = this.#forced(bit, gate, before);
      const then = this.#forced(bit, gate, after);
      const goal = then.value | (then.hold ? current : 0);
      const isSame = first.value === then.value && first.hold === then.hold;
      if (then.value !== 0 && !(goal === current && isKnown(goal))) {
        if (!isSame || this.#levelDependsOn(bit, gate, edge.pin.slot, after)) mayChange = true;
      }
      to |= goal;
      if (edge.region.clean) continue;
      const during = this.#forced(bit, gate, (s) => (s === edge.pin.slot ? EITHER : before(s)));
      if (during.value !== 0 && !(during.value === current && isKnown(current))) mayChange = true;
    }
    return { to, mayChange };
  }

  /** Every slot as an edge finds it. */
  #sampler(edge: Open): (slot: number) => LevelSet {
    const known = new Map<number, LevelSet>();
    return (slot) => {
      const cached = known.get(slot);
      if (cached !== undefined) return cached;
      const level = this.sampled(slot, edge);
      known.set(slot, level);
      return level;
    };
  }

  /** The value that overrides or an open latch force on a bit, and whether it may also be left alone. */
  #forced(bit: StorageModel, gate: GateModel, sets: (slot: number) => LevelSet): { value: LevelSet; hold: boolean } {
    let value = 0;
    const force = (when: Logic, to: Logic): boolean => {
      const active = when.possible(sets);
      if (active & HIGH) value |= to.possible(sets);
      return active === HIGH;
    };
    for (const override of bit.overrides) if (force(override.when, override.value)) return { value, hold: false };
    if (bit.kind === "latch" && force(gate.logic, bit.next)) return { value, hold: false };
    return { value, hold: true };
  }

  #levelDependsOn(bit: StorageModel, gate: GateModel, slot: number, sets: (slot: number) => LevelSet): boolean {
    if (bit.overrides.some(({ when, value }) => when.dependsOn(slot, sets) || value.dependsOn(slot, sets))) return true;
    return bit.kind === "latch" && (gate.logic.dependsOn(slot, sets) || bit.next.dependsOn(slot, sets));
  }

  #captureAt(gate: GateModel, edge: Open): void {
    const { view } = this;
    const index = view.indexOf(edge);
    const self = 2 ** index;
    let rises = false;
    let falls = false;
    const { overs, vague } = view.choices(new Set(gate.logic.slots), index);
    for (const others of overs) {
      const after = (slot: number) => view.level(slot, others + self, vague);
      const first = gate.logic.possible((slot) => view.level(slot, others, vague));
      const last = gate.logic.possible(after);
      if (first === last && (isKnown(first) || !gate.logic.dependsOn(edge.pin.slot, after))) continue;
      rises ||= (first & LOW) !== 0 && (last & HIGH) !== 0;
      falls ||= (first & HIGH) !== 0 && (last & LOW) !== 0;
    }
    if (gate.kind === "write" && rises) capture(this, gate, edge, false);
    if (gate.kind === "clock" ? rises : falls) capture(this, gate, edge);
  }

  /** Lets every output begin to change that now may. */
  #drive(): void {
    for (const output of this.chip.outputs) this.#driveOutput(output);
  }

  #driveOutput(output: OutputModel): void {
    const { view } = this;
    if (!view.opens.some((_, index) => view.moved(index).some((slot) => output.slots.has(slot)))) return;
    if (isRestless(this.step.wave(output.cell))) this.#breakOff(output);
    const wave = this.step.wave(output.cell);
    const after = this.#shows(output, (slot) => view.level(slot, view.all));
    const found = view.opens.flatMap((open) => {
      const known = wave.members.find((member) => isOf(member, open));
      const changes = this.#changes(output, open).filter((change) => !known?.changes.includes(change));
      return changes.length > 0 ? [{ open, changes }] : [];
    });
    if (found.length > 0) {
      const wave = this.step.ownWave(output.cell);
      let region = wave.members.length > 0 ? wave.regions.at(-1) : undefined;
      if (!region) {
        region = this.step.addRegion(wave, wave.level, after, true);
        wave.members = [];
      }
      const before = [...region.early];
      for (const { open, changes } of found) {
        const known = wave.members.find((member) => isOf(member, open));
        if (!open.region.clean) region.clean = false;
        if (known) known.changes = [...known.changes, ...changes];
        else {
          if (wave.members.some((member) => member.closed)) region.clean = false;
          const { born, order } = open.region;
          wave.members.push({ slot: open.pin.slot, born, order, closed: false, changes });
        }
        const moments = this.#through(output, open, changes, this.early(open));
        this.step.model.time.addEarly(region.early, moments);
        addStep(region, moments, after);
      }
      if (region.clean && wave.members.length > 1) region.clean = this.#changesOnce(output, wave);
      region.to = after;
      wave.level = after;
      if (!region.opened || !isSame(before, region.early)) this.step.comeOpen(output.cell, region);
    } else if (wave.members.length > 0 && wave.level !== after) {
      const own = this.step.ownWave(output.cell);
      const newest = own.regions.at(-1);
      if (newest) newest.to = after;
      own.level = after;
    }
  }

  #closeMembers(output: OutputModel, edges: readonly Open[]): void {
    const closing = edges.filter((edge) => isMember(this.step.wave(output.cell), edge));
    if (closing.length === 0) return;
    const wave = this.step.ownWave(output.cell);
    const region = wave.regions.at(-1);
    if (!region) return;
    for (const edge of closing) {
      const member = wave.members.find((m) => isOf(m, edge));
      if (!member) continue;
      member.closed = true;
      if (!edge.region.clean) region.clean = false;
      this.step.model.time.addEarly(region.early, this.#through(output, edge, member.changes, this.early(edge)));
      const late = this.late(edge);
      this.step.model.time.addLate(region.late, this.#through(output, edge, member.changes, late));
    }
  }

  /** Ends the newest region once nothing still open can move the output: it is then as its causes have left it. */
  #finish(output: OutputModel): void {
    const { members } = this.step.wave(output.cell);
    if (!members.some((member) => member.closed)) return;
    const matters = (member: Member) =>
      this.view.opens.some((open) => isOf(member, open) && this.#changes(output, open).length > 0);
    if (members.some((member) => !member.closed && matters(member))) return;
    const wave = this.step.ownWave(output.cell);
    const region = wave.regions.at(-1);
    if (!region) return;
    this.#addOvertaken(output, wave.members, region);
    region.to = this.#shows(output, (slot) => this.view.level(slot, this.view.all));
    wave.level = region.to;
    wave.members = [];
    if (output.value === "memory") this.#addAccess(output, region);
    if (region.late.length === 0) this.step.model.time.addLate(region.late, region.early);
    this.step.comeClosed(output.cell, region);
  }

  /**
   * Ends a region that goes on and on, because every change comes before the last one is over: a failure of its own, after
   * which the rest is judged as if the output had come to rest.
   */
  #breakOff(output: OutputModel): void {
    const wave = this.step.ownWave(output.cell);
    const region = wave.regions.at(-1);
    wave.members = [];
    if (!region) return;
    reportRestless(this.step, output.net, region, this.chip.chip.ref, output.pin);
    this.step.model.time.addLate(region.late, region.early);
    this.step.comeClosed(output.cell, region);
  }

  /**
   * A change that is still open but can do nothing any more may have done something before the one that ended that, and its
   * delay may be the longer one.
   */
  #addOvertaken(output: OutputModel, members: readonly Member[], region: Region): void {
    const overtaken = members.filter((member) => !member.closed);
    if (overtaken.length === 0) return;
    const opens = this.view.opens.filter((open) => overtaken.some((member) => isOf(member, open)));
    const ends = members.filter((member) => member.closed).flatMap((member) => this.#momentsOf(member));
    for (const open of opens) {
      if (!open.region.clean) region.clean = false;
      const changes = overtaken.find((member) => isOf(member, open))?.changes ?? [];
      this.step.model.time.addEarly(region.early, this.#through(output, open, changes, this.early(open)));
      this.step.model.time.addLate(region.late, this.#through(output, open, changes, ends));
    }
  }

  /** The latest times of a change that is over, at its pin. */
  #momentsOf(member: Member): Moment[] {
    return this.chip.pins.flatMap((pin) => {
      const region = this.#wave(pin).regions.find((r) => isOf(member, { pin, region: r }));
      return region ? this.late({ pin, region }) : [];
    });
  }

  /** Data of a memory is valid only an access time after its last address and select, though they came before the enable. */
  #addAccess(output: OutputModel, region: Region): void {
    const { memory } = this.chip;
    if (!memory || !(region.from & UNDRIVEN)) return;
    for (const pin of this.chip.pins) {
      const isAddress = memory.address.includes(pin.slot);
      if (!isAddress && !memory.selects.includes(pin.slot)) continue;
      const last = this.#wave(pin)
        .regions.filter((r) => r.closed)
        .at(-1);
      if (!last) continue;
      const changes: readonly Change[] = isAddress ? ["rise", "fall"] : ["z-to-high", "z-to-low"];
      const late = this.late({ pin, region: last });
      this.step.model.time.addLate(region.late, this.#after(late, pin, edgesOf(last), output, changes));
    }
  }

  /** What an output can show. */
  #shows(output: OutputModel, sets: (slot: number) => LevelSet): LevelSet {
    const enable = output.enable ? output.enable.possible(sets) : HIGH;
    if (enable === LOW) return UNDRIVEN;
    const value = this.#carriesData(output) || output.value === "memory" ? EITHER : output.value.possible(sets);
    return enable === HIGH ? value : value | UNDRIVEN;
  }

  /** Data of unknown value: whatever comes from outside or from a memory and controls nothing. */
  #carriesData(output: OutputModel): boolean {
    return carriesData(this.step.model, output.net);
  }

  /** The changes that an input change can make at an output, over every state of the other open ones. */
  #changes(output: OutputModel, open: Open): readonly Change[] {
    const { view } = this;
    const index = view.indexOf(open);
    const key = output.alike * 2 + (this.#carriesData(output) ? 1 : 0);
    return view.changes(index, key, () => this.#findChanges(output, open, index));
  }

  #findChanges(output: OutputModel, open: Open, index: number): readonly Change[] {
    const { view } = this;
    const moved = view.moved(index);
    const reads = (logic: Logic | undefined) => logic?.slots.some((slot) => moved.includes(slot)) ?? false;
    const isAddress = output.value === "memory" && (this.chip.memory?.address.includes(open.pin.slot) ?? false);
    const readsValue = output.value === "memory" ? isAddress : reads(output.value);
    const readsEnable = reads(output.enable);
    if (!readsValue && !readsEnable) return [];
    const changes = new Set<Change>();
    const add = (from: LevelSet, to: LevelSet) => {
      for (const change of changesBetween(from, to)) {
        if (change.includes("z") ? readsEnable : readsValue) changes.add(change);
      }
    };
    const slots = output.value === "memory" ? new Set(output.enable?.slots) : output.slots;
    const { overs, vague } = view.choices(slots, index);
    for (const others of overs) {
      const before = (slot: number) => view.level(slot, others, vague);
      const after = (slot: number) => view.level(slot, others + 2 ** index, vague);
      const first = this.#shows(output, before);
      const last = this.#shows(output, after);
      if (!open.region.clean) {
        const during = this.#shows(output, (s) => (moved.includes(s) ? before(s) | after(s) | EITHER : after(s)));
        if (!isKnown(during) || isAddress) add(during, during);
      } else if (first !== last || this.#matters(output, moved, isAddress, first, [before, after])) add(first, last);
    }
    return [...changes];
  }

  /** Whether an output that may be the same before and after a change of unknown value may yet change with it. */
  #matters(
    output: OutputModel,
    moved: readonly number[],
    isAddress: boolean,
    shown: LevelSet,
    [before, after]: readonly [before: (slot: number) => LevelSet, after: (slot: number) => LevelSet],
  ): boolean {
    if (isKnown(shown)) return false;
    const moves = (logic: Logic) =>
      logic.possible(before) !== logic.possible(after) ||
      moved.some((slot) => logic.dependsOn(slot, before) || logic.dependsOn(slot, after));
    const { enable, value } = output;
    return isAddress || (enable !== undefined && moves(enable)) || (value !== "memory" && moves(value));
  }

  #through(output: OutputModel, open: Open, changes: readonly Change[], moments: readonly Moment[]): Moment[] {
    return this.#after(moments, open.pin, edgesOf(open.region), output, changes);
  }

  #after(
    moments: readonly Moment[],
    pin: PinModel,
    edges: readonly Edge[],
    output: OutputModel,
    changes: readonly Change[],
  ): Moment[] {
    const { model } = this.step;
    return model.delays
      .arcs(pin, edges, output, changes)
      .flatMap((arc) => moments.map(({ path, tick }) => ({ path: model.time.extend(path, arc), tick })));
  }

  /** Whether the output changes at most once in whatever order its open causes come. */
  #changesOnce(output: OutputModel, wave: Wave): boolean {
    const { view } = this;
    const causes = view.opens.flatMap((open, index) => (isMember(wave, open) ? [index] : []));
    const pins = new Set(causes.map((index) => view.opens[index]?.pin));
    if (causes.length > MOST_AT_ONCE || pins.size < causes.length) return false;
    if (causes.some((index) => view.opens[index]?.region.clean === false)) return false;
    const over = (done: number): Over => causes.reduce((sum, index, i) => sum + ((done >> i) & 1) * 2 ** index, 0);
    const level = (done: number) => this.#shows(output, (slot) => view.level(slot, over(done)));
    const all = (1 << causes.length) - 1;
    const visit = (done: number, changes: number): boolean => {
      const here = level(done);
      if (!isKnown(here)) return false;
      return causes.every((_, i) => {
        if ((done >> i) & 1) return true;
        const next = done | (1 << i);
        const count = changes + (level(next) === here ? 0 : 1);
        return count <= 1 && visit(next, count);
      });
    };
    return visit(0, 0) && isKnown(level(all));
  }
}

/** Notes the level that a region goes to with these causes, so that its levels can be told apart where it has several. */
function addStep(region: Region, [moment]: readonly Moment[], to: LevelSet): void {
  if (!moment || !isKnown(to) || region.steps.at(-1)?.to === to) return;
  region.steps = [...region.steps, { moment, to }];
}

function isOf(member: Member, { pin, region }: Open): boolean {
  return member.slot === pin.slot && member.born === region.born && member.order === region.order;
}

function isMember(wave: Wave, open: Open): boolean {
  return wave.members.some((member) => isOf(member, open));
}

function isCause(change: StorageChange, { pin, region }: Open): boolean {
  return change.slot === pin.slot && change.born === region.born && change.order === region.order;
}

/** The edges that a region may hold as a logic input sees it. */
export function edgesOf(region: Region): Edge[] {
  const from = asRead(region.from);
  const to = asRead(region.to);
  if (!region.clean) return ["rise", "fall"];
  const edges: Edge[] = [];
  if (from & LOW && to & HIGH) edges.push("rise");
  if (from & HIGH && to & LOW) edges.push("fall");
  return edges;
}

function changesBetween(from: LevelSet, to: LevelSet): Change[] {
  const changes: Change[] = [];
  if (from & LOW && to & HIGH) changes.push("rise");
  if (from & HIGH && to & LOW) changes.push("fall");
  if (from & UNDRIVEN && to & HIGH) changes.push("z-to-high");
  if (from & UNDRIVEN && to & LOW) changes.push("z-to-low");
  if (from & HIGH && to & UNDRIVEN) changes.push("high-to-z");
  if (from & LOW && to & UNDRIVEN) changes.push("low-to-z");
  return changes;
}
