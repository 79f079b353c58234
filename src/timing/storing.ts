import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import type { Logic } from "./compiled-logic.js";
import { bitKey } from "./control.js";
import { EITHER, HIGH, LOW, type LevelSet, isKnown } from "./level-set.js";
import { isOf } from "./members.js";
import type { GateModel, StorageModel } from "./model.js";
import type { Region, StorageChange } from "./state.js";

/** What the open changes of a section do to its storage. */
export class Storing {
  readonly #at: ChipStep;

  constructor(at: ChipStep) {
    this.#at = at;
  }

  /** Brings up to date what every open change does to the storage, these first. */
  storeAll(edges: readonly Open[]): void {
    for (const edge of edges) this.#store(edge);
    if (this.#at.chip.storage.length === 0) return;
    for (const open of this.#at.view.opens) {
      if (!edges.some(({ pin, region }) => pin === open.pin && region === open.region)) this.#store(open);
    }
  }

  /** Begins or brings up to date what an open change does to the storage. */
  #store(edge: Open): void {
    for (const bit of this.#at.chip.storage) {
      const target = this.#target(bit, edge);
      if (!target) continue;
      const isThis = (change: StorageChange) => change.bit === bit.bit && isOf(change, edge);
      if (this.#at.state.changes.some(isThis)) {
        for (const change of this.#at.ownState.changes) {
          if (isThis(change) && !(change.isChosen && target.to & change.to)) {
            Object.assign(change, this.#chosen(bit, target.to));
          }
        }
      } else if (target.mayChange) {
        const { pin, region } = edge;
        const from = this.#at.storedBefore(bit.slot, edge);
        this.#at.ownState.changes.push({
          bit: bit.bit,
          from,
          slot: pin.slot,
          born: region.born,
          order: region.order,
          ...this.#chosen(bit, target.to),
        });
      }
    }
    this.#at.forgetView();
  }

  /** Where a bit goes: one of two levels that are followed one by one, where it decides who drives. */
  #chosen({ slot }: StorageModel, to: LevelSet): Pick<StorageChange, "to" | "isChosen"> {
    const { step, chip } = this.#at;
    if (to !== EITHER || !step.model.deciding.has(bitKey(chip, slot))) return { to };
    return { to: step.choose(2) === 0 ? LOW : HIGH, isChosen: true };
  }

  /** Where one storage bit may go with this input change; undefined where the change cannot touch it. */
  #target(bit: StorageModel, edge: Open): { to: LevelSet; mayChange: boolean } | undefined {
    const gate = this.#at.chip.gates[bit.gate];
    if (!gate) return undefined;
    const { slot } = edge.pin;
    const clocked =
      bit.kind === "register" && gate.logic.slots.includes(slot) ? this.#clocked(bit, gate, edge) : undefined;
    const levelled = bit.levelSlots.has(slot) ? this.#levelled(bit, gate, edge) : undefined;
    if (!clocked && !levelled) return undefined;
    const key = bitKey(this.#at.chip, bit.slot);
    const { dependents, control } = this.#at.step.model;
    const isData = dependents.bits.has(key) && !control.bits.has(key);
    return {
      to: isData ? EITHER : (clocked?.to ?? 0) | (levelled?.to ?? 0),
      mayChange: (clocked?.mayChange ?? false) || (levelled?.mayChange ?? false),
    };
  }

  /** What the edge of a clock does, with all else as the edge finds it. */
  #clocked(bit: StorageModel, gate: GateModel, edge: Open): { to: LevelSet; mayChange: boolean } {
    const { slot } = edge.pin;
    const current = this.#at.storedBefore(bit.slot, edge);
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
      bit.levelSlots.has(s) && s !== slot ? this.#at.around(s, edge, releases(s)) : after(s),
    );
    const mayRise = (first & LOW) !== 0 && (last & HIGH) !== 0 && (first !== last || gate.logic.dependsOn(slot, after));
    if (!mayRise || !forced.hold) return { to: current, mayChange: false };
    const isCertain = first === LOW && last === HIGH && forced.value === 0;
    const now = this.#forced(bit, gate, (s) => this.#at.view.present(s));
    const to = now.hold ? bit.next.possible(found) | (isCertain ? 0 : current) | forced.value : now.value;
    return { to, mayChange: !(to === current && isKnown(to)) };
  }

  /** What a level does at an override or at an open latch, in whatever order it comes with other changes. */
  #levelled(bit: StorageModel, gate: GateModel, edge: Open): { to: LevelSet; mayChange: boolean } {
    const { view } = this.#at;
    const index = view.indexOf(edge);
    const self = 2 ** index;
    const current = this.#at.storedBefore(bit.slot, edge);
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
      const level = this.#at.sampled(slot, edge);
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
}
