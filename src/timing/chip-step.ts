import { checkAddressCycle } from "./address-cycle.js";
import { beginHeld, capture, releaseHeld } from "./capture.js";
import { ChipView, type Open } from "./chip-view.js";
import { Driving } from "./driving.js";
import { EITHER, HIGH, LOW, type LevelSet, isKnown } from "./level-set.js";
import { isOf } from "./members.js";
import type { ChipModel, GateModel, PinModel } from "./model.js";
import { lastFirst, pastChanges } from "./past-changes.js";
import { isMeantBefore, isSurelyBefore, levelMeant } from "./sampling-order.js";
import type { ChipState, Region, StorageChange } from "./state.js";
import type { Step } from "./step.js";
import { Storing } from "./storing.js";
import type { Moment } from "./moment.js";

/** The moments of one change at each pin, by slot. */
interface AtPins {
  readonly early: (readonly Moment[])[];
  readonly late: (readonly Moment[])[];
}

/** What one section does when a change at one of its pins opens or closes. */
export class ChipStep {
  readonly step: Step;
  readonly chip: ChipModel;
  readonly #storing = new Storing(this);
  readonly #driving = new Driving(this);
  #view: ChipView | undefined;
  /** The moments of changes as they arrive at pins, as long as none grows. */
  readonly #moments = new Map<Region, AtPins>();
  #grown = 0;

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

  /** Has the signals looked at anew. */
  forgetView(): void {
    this.#view = undefined;
  }

  /** One change opens at one or more pins that share its net. */
  open(pins: readonly PinModel[], region: Region): void {
    for (const pin of pins) if (pin.isCaptured) beginHeld(this, { pin, region });
    const acting = pins.filter((pin) => pin.acts);
    if (acting.length === 0) return;
    this.#storing.storeAll(acting.map((pin) => ({ pin, region })));
    this.#driving.drive();
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
    this.#storing.storeAll(edges);
    this.#driving.drive();
    const isOver = (change: StorageChange) =>
      change.born === region.born && change.order === region.order && pins.some((pin) => pin.slot === change.slot);
    for (const output of this.chip.outputs) this.#driving.closeMembers(output, edges);
    if (this.state.changes.some(isOver)) {
      const state = this.ownState;
      for (const change of state.changes) if (isOver(change)) state.stored[change.bit] = change.to;
      state.changes = state.changes.filter((change) => !isOver(change));
    }
    this.#view = new ChipView(this.step, this.chip, this.state, region);
    for (const output of this.chip.outputs) this.#driving.finish(output);
  }

  /** An open change at these pins may have more causes than when it opened. */
  grow(pins: readonly PinModel[], region: Region): void {
    this.#driving.grow(pins.map((pin) => ({ pin, region })));
    // It may now come before what it was sure to come after.
    this.#driving.drive();
  }

  /**
   * The level of a slot as an edge of a pin finds it: changes that are meant to come before the edge have come. Tells which
   * those are through `decided`, latest first.
   */
  sampled(slot: number, edge: Open, decided?: (pin: PinModel, region: Region, isBefore: boolean) => void): LevelSet {
    const fixed = this.chip.fixed[slot];
    if (fixed) return fixed;
    const pin = this.chip.pins.find((p) => p.slot === slot);
    if (!pin) return this.storedBefore(slot, edge);
    let { level } = this.step.present(pin.net.wave);
    for (const region of lastFirst(this.step, pin.net.wave)) {
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
    let mayCome = 0;
    let before: LevelSet | undefined;
    for (const region of this.#begun(pin)) {
      const change = { pin, region };
      const isMeantTo = isMeant(region);
      if (isSurelyBefore(this, change, edge) || (isMeantTo && isMeantBefore(this, change, edge))) {
        return region.to | mayCome;
      }
      if (!isMeantTo && !isSurelyBefore(this, edge, change)) mayCome |= region.clean ? region.to : EITHER;
      before = region.from;
    }
    return (before ?? this.step.present(pin.net.wave).base) | mayCome;
  }

  /** The changes at a pin up to the first that has not begun, the last first. */
  *#begun({ net: { wave } }: PinModel): Iterable<Region> {
    const { regions } = this.step.present(wave);
    const toCome = regions.findIndex(({ opened, closed }) => !opened && !closed);
    yield* regions.slice(0, toCome < 0 ? regions.length : toCome).reverse();
    yield* pastChanges(this.step, wave);
  }

  early({ pin, region }: Open): readonly Moment[] {
    if (this.#drives(pin)) return this.step.atPin(region.early, this.chip, pin);
    const known = this.#atPins(region);
    return (known.early[pin.slot] ??= this.step.atPin(region.early, this.chip, pin));
  }

  /** Late moments; of a change still open, the early ones, which are all that is known of it. */
  late(open: Open): readonly Moment[] {
    const { pin, region } = open;
    if (region.late.length === 0) return this.early(open);
    if (this.#drives(pin)) return this.step.atPin(region.late, this.chip, pin);
    const known = this.#atPins(region);
    return (known.late[pin.slot] ??= this.step.atPin(region.late, this.chip, pin));
  }

  /** Whether the section itself makes the changes that a pin sees. */
  #drives({ net }: PinModel): boolean {
    return this.chip.outputs.some(({ cell }) => cell === net.wave);
  }

  #atPins(region: Region): AtPins {
    if (this.#grown !== this.step.grown) {
      this.#moments.clear();
      this.#grown = this.step.grown;
    }
    const known = this.#moments.get(region) ?? { early: [], late: [] };
    this.#moments.set(region, known);
    return known;
  }

  /** What a storage bit holds as an edge comes. */
  storedBefore(slot: number, edge: Open): LevelSet {
    const bit = this.chip.storage.find((s) => s.slot === slot);
    if (!bit) return EITHER;
    let level = this.state.stored[bit.bit] ?? EITHER;
    for (const change of this.state.changes) {
      if (change.bit !== bit.bit || isOf(change, edge)) continue;
      const cause = this.view.opens.find((open) => isOf(change, open));
      level = cause && isSurelyBefore(this, cause, edge) ? change.to : level | change.to;
    }
    return level;
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
}
