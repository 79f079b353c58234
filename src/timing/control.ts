import type { Logic } from "./compiled-logic.js";
import type { ChipModel, Model, NetModel } from "./model.js";

type Parts = Pick<Model, "circuit" | "chips" | "outside">;

/** What rests on something from outside or on the contents of a memory. All else runs by itself from the oscillator. */
export interface Dependents {
  /** Nets, by id. */
  readonly nets: ReadonlySet<number>;
  /** Storage bits, as `section|slot`. */
  readonly bits: ReadonlySet<string>;
  /** Sections that read or hold anything dependent, by index. */
  readonly sections: ReadonlySet<number>;
}

export function findDependents(model: Parts): Dependents {
  const nets = new Set<number>();
  for (const { input, net } of model.outside) if (input.timing.kind !== "power-up only") nets.add(net.net.id);
  const bits = new Set<string>();
  const sections = new Set<number>();
  for (let grew = true; grew;) {
    grew = false;
    for (const chip of model.chips) {
      const isDependent = (logic: Logic | undefined) =>
        logic?.slots.some((slot) => {
          const pin = chip.pins.find((p) => p.slot === slot);
          return pin ? nets.has(pin.net.net.id) : bits.has(bitKey(chip, slot));
        }) ?? false;
      if (chip.memory ?? chip.pins.some((pin) => nets.has(pin.net.net.id))) sections.add(chip.index);
      for (const bit of chip.storage) {
        const key = bitKey(chip, bit.slot);
        const reads = [chip.gates[bit.gate]?.logic, bit.next, ...bit.overrides.flatMap((o) => [o.when, o.value])];
        if (bits.has(key) || !reads.some(isDependent)) continue;
        bits.add(key);
        grew = true;
      }
      for (const output of chip.outputs) {
        if (nets.has(output.net.net.id)) continue;
        const inSection = sections.has(chip.index);
        if (!inSection && output.value !== "memory" && !isDependent(output.enable) && !isDependent(output.value))
          continue;
        nets.add(output.net.net.id);
        grew = true;
      }
    }
  }
  return { nets, bits, sections };
}

/** Names a storage bit of a section. */
export function bitKey(chip: ChipModel, slot: number): string {
  return `${chip.index}|${slot}`;
}

/** What acts at once, and all that leads to it: followed value by value, not as data. */
export interface Control {
  readonly nets: ReadonlySet<number>;
  readonly bits: ReadonlySet<string>;
}

/** Whether a net's level is unknown and controls nothing: what comes from outside or from a memory and is only passed on. */
export function carriesData(
  { dependents, control }: Pick<Model, "dependents" | "control">,
  { net }: NetModel,
): boolean {
  return dependents.nets.has(net.id) && !control.nets.has(net.id);
}

/**
 * Everything from which a way leads to a clock, an enable, a strobe, an asynchronous input or a latch made of gates; `known` are
 * nets that do so outside of the circuit.
 */
export function findControl(model: Parts & Pick<Model, "loops">, known: Iterable<number> = []): Control {
  const bits = new Set<string>();
  const nets = new Set<number>(known);
  for (const { outputs } of model.loops) for (const { output } of outputs) nets.add(output.net.net.id);
  for (let grew = true; grew;) {
    grew = false;
    const mark = (chip: ChipModel, logic: Logic | undefined) => {
      for (const slot of logic?.slots ?? []) {
        const pin = chip.pins.find((p) => p.slot === slot);
        const size = nets.size + bits.size;
        if (pin) nets.add(pin.net.net.id);
        else if (chip.storage.some((bit) => bit.slot === slot)) bits.add(bitKey(chip, slot));
        if (nets.size + bits.size > size) grew = true;
      }
    };
    for (const chip of model.chips) {
      for (const gate of chip.gates) mark(chip, gate.logic);
      for (const bit of chip.storage) {
        for (const { when } of bit.overrides) mark(chip, when);
        if (!bits.has(bitKey(chip, bit.slot))) continue;
        mark(chip, bit.next);
        for (const { value } of bit.overrides) mark(chip, value);
      }
      for (const output of chip.outputs) {
        mark(chip, output.enable);
        if (nets.has(output.net.net.id) && output.value !== "memory") mark(chip, output.value);
      }
    }
  }
  return { nets, bits };
}
