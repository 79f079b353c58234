import { namesIn } from "../../parts/index.js";
import { commandPins } from "../command-pins.js";
import type { Net } from "../circuit.js";
import type { GrowingChip } from "../nets.js";
import { pinKey } from "../wiring.js";

/** A chip that a processor commands beside its strobe: it stores, drives or lets go as the processor's pins have it. */
export interface Command {
  readonly chip: GrowingChip;
  readonly pin: string;
  readonly net: Net;
}

/**
 * Follows the processor's pins through gates, past which it is not known when they change, to the pins that make other chips
 * store, drive or let go. `timed` are nets about whose edges the times are known: its strobe, its clock.
 */
export function commandsOf(
  processor: GrowingChip,
  chips: readonly GrowingChip[],
  timed: ReadonlySet<Net>,
): readonly Command[] {
  const nets = new Set<Net>();
  const reach = (from: Net): void => {
    if (from.rail || timed.has(from) || nets.has(from)) return;
    nets.add(from);
    for (const { chip, pin } of from.receivers) {
      const bits = new Set(chip.part.behaviour.storage.map(({ name }) => name));
      for (const output of chip.part.behaviour.outputs) {
        const names = namesIn(output.value);
        const next = chip.nets.get(output.pin);
        // Through a three-state buffer its datum comes too; what enables it is a command, found below.
        if (next && names.includes(pin) && !names.some((name) => bits.has(name))) reach(next);
      }
    }
  };
  for (const { name, role } of processor.part.behaviour.pins) {
    const net = role === "output" ? processor.nets.get(name) : undefined;
    if (net) reach(net);
  }
  return chips.flatMap((chip) => {
    if (chip === processor) return [];
    return commandPins(chip.part.behaviour).flatMap((pin) => {
      const net = chip.nets.get(pin);
      return net && nets.has(net) ? [{ chip, pin, net }] : [];
    });
  });
}

export function commandKeys(commands: readonly Command[]): ReadonlySet<string> {
  return new Set(commands.map(({ chip, pin }) => pinKey(chip.ref, pin)));
}
