import type { Logic } from "./compiled-logic.js";
import { EITHER, HIGH, LOW, type LevelSet } from "./level-set.js";
import type { ChipModel, OutputModel, PinModel } from "./model.js";
import { stronglyConnected } from "./strongly-connected.js";

/** One output in a loop, and the pin of its chip at which the loop comes in. */
export interface LoopOutput {
  readonly chip: ChipModel;
  readonly output: OutputModel;
  readonly pin: PinModel;
}

/** A way that leads from an output back to itself through gates, with no flip-flop and no latch in it. */
export interface Loop {
  readonly outputs: readonly LoopOutput[];
  /** Two gates, each inverting the other's output: a latch made of gates. */
  readonly isLatch: boolean;
}

/**
 * Every loop of gates without storage in it. Outputs that do not always drive are left out: a transceiver leads either way
 * and never both.
 */
export function loopsOf(chips: readonly ChipModel[]): readonly Loop[] {
  const all = chips.flatMap((chip) =>
    chip.outputs.filter((output) => alwaysDrives(chip, output)).map((output) => ({ chip, output })),
  );
  const indexOf = new Map(all.map(({ output }, index) => [output, index]));
  const readersOf = ({ output }: (typeof all)[number]) =>
    output.net.receivers.flatMap(({ chip, pin }) =>
      chip.outputs
        .filter((other) => indexOf.has(other) && other.slots.has(pin.slot))
        .map((other) => ({ chip, output: other, pin })),
    );
  const next = (node: number): number[] => {
    const from = all[node];
    return from ? readersOf(from).map(({ output }) => indexOf.get(output) ?? 0) : [];
  };
  return stronglyConnected([...all.keys()], next)
    .filter((group) => group.length > 1 || next(group[0] ?? 0).includes(group[0] ?? 0))
    .map((group) => {
      const members = new Set(group);
      const readers = group.flatMap((node) => {
        const from = all[node];
        return from ? readersOf(from) : [];
      });
      const outputs = readers.filter(({ output }) => members.has(indexOf.get(output) ?? -1));
      return { outputs, isLatch: group.length === 2 && outputs.length === 2 && outputs.every(inverts) };
    });
}

/** Whether nothing can switch an output off. */
export function alwaysDrives({ fixed }: ChipModel, { enable }: OutputModel): boolean {
  return !enable || enable.possible((slot) => fixed[slot] || EITHER) === HIGH;
}

/** Whether the output never rises with the pin, whatever the other inputs are. */
function inverts({ output: { value, enable }, pin }: LoopOutput): boolean {
  if (value === "memory" || enable) return false;
  const others = value.slots.filter((slot) => slot !== pin.slot);
  return Array.from({ length: 1 << others.length }).every((_, choice) => {
    const at = (level: LevelSet) => levelAt(value, pin, level, others, choice);
    return at(HIGH) === LOW || at(LOW) === HIGH;
  });
}

function levelAt(logic: Logic, pin: PinModel, level: LevelSet, others: readonly number[], choice: number): LevelSet {
  return logic.possible((slot) => {
    if (slot === pin.slot) return level;
    const position = others.indexOf(slot);
    return position < 0 ? EITHER : (choice >> position) & 1 ? HIGH : LOW;
  });
}
