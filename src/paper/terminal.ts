import type { Chip, Circuit, Net, PinRef, Supply } from "../circuit/index.js";

/** A point that a wire or a part's leg goes to. */
export type Terminal =
  | { readonly kind: "pin"; readonly chip: string; readonly number: number; readonly pin: string }
  | { readonly kind: "rail"; readonly name: string }
  /** A pin of the connector, or whatever brings the net from outside or takes it there. */
  | { readonly kind: "outside"; readonly net: string }
  /** A leg of a resistor or capacitor that meets no chip: wire straight to it. */
  | { readonly kind: "leg"; readonly part: string; readonly net: string };

/**
 * The terminal of a chip's pin, with its number on the package. Throws RangeError when the package has no such pin, which
 * the catalogue rules out.
 */
export function pinTerminal({ chip, pin }: PinRef): Terminal & { kind: "pin" } {
  return { kind: "pin", chip: chip.ref, number: pinNumber(chip, pin), pin };
}

/** The number on the package of the behaviour's pin `name`. */
export function pinNumber(chip: Chip, name: string): number {
  const found = chip.part.package.pins.find((pin) => pin.name === name);
  if (!found) throw new RangeError(`${chip.ref}: ${chip.part.package.name} of ${chip.part.number} has no pin ${name}`);
  return found.number;
}

export const groundRail: Terminal & { kind: "rail" } = { kind: "rail", name: "0 V rail" };

/** The rail of a supply, called by its nominal volts: `+5 V rail`, or `+3.3 V rail (3V3)` beside the main one. */
export function supplyRail({ supplies }: Circuit, { name, volts }: Supply): Terminal & { kind: "rail" } {
  const nominal = Number(((volts.min + volts.max) / 2).toFixed(2));
  return { kind: "rail", name: name === supplies[0]?.name ? `+${nominal} V rail` : `+${nominal} V rail (${name})` };
}

/** The rail that a net is, or nothing for a net that is none. */
export function railOfNet(circuit: Circuit, net: Net): (Terminal & { kind: "rail" }) | undefined {
  if (net.rail === undefined) return undefined;
  if (net.rail === "low") return groundRail;
  const supply = net.supply ?? circuit.supplies[0];
  return supply ? supplyRail(circuit, supply) : { kind: "rail", name: net.name };
}
