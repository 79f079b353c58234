import type { Behaviour } from "../parts/index.js";
import { commandPins } from "./command-pins.js";
import type { Chip, Circuit, Net } from "./circuit.js";
import { pinKey } from "./wiring.js";

/** Whether the chips on a net are what drives it, for the engines: not where a processor's times say what comes of them. */
export function drivesNet(net: Net): boolean {
  return net.input?.by === undefined;
}

/** Nets that something outside drives, or a processor; each once. */
export function netsFromOutside({ inputs, masters, nets }: Circuit): readonly Net[] {
  const ids = [...inputs, ...masters.flatMap(({ resting }) => resting)].map(({ net }) => net);
  return [...new Set(ids)].flatMap((id) => nets[id] ?? []);
}

/** The oscillators that the board's own times count from: not those that clock a processor and nothing else. */
export function boardOscillators({ chips }: Circuit): readonly Chip[] {
  return chips.filter(({ part, nets }) => {
    const net = nets.get(part.behaviour.clockSource?.pin ?? "");
    return part.oscillation !== undefined && (!net || drivesNet(net));
  });
}

/**
 * Whether a chip, or one of its independent parts, does what a processor commands at times that are not known. The proof
 * leaves it out and says so.
 */
export function isCommanded({ masters }: Circuit, chip: Chip, section: Behaviour): boolean {
  return commandPins(section).some((pin) => masters.some(({ commands }) => commands.has(pinKey(chip.ref, pin))));
}
