import type { Logic } from "./compiled-logic.js";
import { bitKey } from "./control.js";
import type { ChipModel, Model, StorageModel } from "./model.js";

/** Each doubles the states that are followed: of more, as of an address that selects RAMs, either value is taken anywhere. */
const MOST_DECIDING = 3;

type Parts = Pick<Model, "chips" | "nets" | "outside">;

/**
 * Registers that take a level in from outside or from a memory and on which hangs which of two drivers has a shared net, as
 * `section|slot`. Each of their levels is followed for itself, so that two owners of whom one drives where the other does not
 * are never taken to drive together.
 */
export function findDeciding(model: Parts): ReadonlySet<string> {
  const data = dataNets(model);
  const found = model.chips.flatMap((chip) =>
    chip.storage
      .filter(({ kind, next }) => kind === "register" && readsNet(chip, next, data))
      .filter((bit) => hasTwoOwners(model, chip, bit))
      .map(({ slot }) => bitKey(chip, slot)),
  );
  return new Set(found.length > MOST_DECIDING ? [] : found);
}

/** Nets whose level is unknown: from outside other than at any time, from memories, and what gates make of them. */
function dataNets({ chips, outside }: Parts): ReadonlySet<number> {
  const nets = new Set<number>();
  for (const { input, net } of outside) {
    if (input.timing.kind === "after" || input.timing.kind === "steady around") nets.add(net.net.id);
  }
  for (let known = -1; known !== nets.size;) {
    known = nets.size;
    for (const chip of chips) {
      for (const { value, net } of chip.outputs) {
        if (value === "memory" || readsNet(chip, value, nets)) nets.add(net.net.id);
      }
    }
  }
  return nets;
}

/** Whether a bit leads, by whatever way, to the output enables of two drivers of one net. */
function hasTwoOwners({ chips, nets }: Parts, from: ChipModel, { slot }: StorageModel): boolean {
  const reached = new Set<number>();
  const bits = new Set([bitKey(from, slot)]);
  const rests = (chip: ChipModel, logic: Logic | undefined) =>
    logic !== undefined && (readsNet(chip, logic, reached) || logic.slots.some((one) => bits.has(bitKey(chip, one))));
  for (let known = -1; known !== reached.size + bits.size;) {
    known = reached.size + bits.size;
    for (const chip of chips) {
      for (const bit of chip.storage) {
        const read = [chip.gates[bit.gate]?.logic, bit.next, ...bit.overrides.map(({ when }) => when)];
        if (read.some((logic) => rests(chip, logic))) bits.add(bitKey(chip, bit.slot));
      }
      for (const { value, net } of chip.outputs) if (value !== "memory" && rests(chip, value)) reached.add(net.net.id);
    }
  }
  return nets.some(({ drivers }) => drivers.filter(({ chip, output }) => rests(chip, output.enable)).length > 1);
}

function readsNet(chip: ChipModel, { slots }: Logic, nets: ReadonlySet<number>): boolean {
  return chip.pins.some((pin) => nets.has(pin.net.net.id) && slots.includes(pin.slot));
}
