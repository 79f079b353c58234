import type { Chip, PinRef } from "../circuit/circuit.js";

/** A point that a wire or a part's leg goes to. */
export type Terminal =
  | { readonly kind: "pin"; readonly chip: string; readonly number: number; readonly pin: string }
  | { readonly kind: "rail"; readonly rail: "high" | "low" }
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

/** How a rail is called on paper: `+5 V rail`, `0 V rail`. */
export function railName(rail: "high" | "low", volts: number): string {
  return rail === "high" ? `+${Number(volts.toFixed(2))} V rail` : "0 V rail";
}

/** The nominal supply in volts: the middle of its range. */
export function nominalSupply({ min, max }: { readonly min: number; readonly max: number }): number {
  return (min + max) / 2;
}
