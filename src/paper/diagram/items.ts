import type { Chip, Circuit, Passive } from "../../circuit/index.js";
import { decoupling } from "../../electrical/index.js";
import { railOfNet } from "../terminal.js";
import type { PinMark } from "./qualifier.js";
import { symbolOf, type SymbolShape } from "./symbol.js";
import { unitsOf } from "./units.js";

/** What a pin is on. */
export type NetUse =
  | { readonly kind: "net"; readonly name: string; readonly drives: boolean; readonly receives: boolean }
  | { readonly kind: "rail"; readonly name: string }
  | { readonly kind: "open" };

/** A pin of a symbol, or a leg of a resistor or capacitor. */
export interface ItemPin {
  /** On the package; absent for a leg. */
  readonly number?: number;
  readonly name: string;
  readonly side: "left" | "right";
  /** From the upper edge of the outline, in px. */
  readonly y: number;
  readonly mark?: PinMark;
  readonly use: NetUse;
}

/** What is drawn as one symbol on a sheet. */
export interface Item {
  /** `U10 2`, `R1`. */
  readonly key: string;
  readonly ref: string;
  /** `74HC10`, `432 ohm`. */
  readonly part: string;
  /** `2 of 3` where the chip has several. */
  readonly which: string;
  /** From the file; only where the whole chip is one symbol. */
  readonly note: string;
  readonly width: number;
  readonly height: number;
  /** Of a chip; absent for passives. */
  readonly symbol?: SymbolShape;
  readonly passive?: Passive;
  readonly pins: readonly ItemPin[];
}

/** The symbols of a chip. */
export function chipItems(circuit: Circuit, chip: Chip): Item[] {
  return unitsOf(chip).map((unit): Item => {
    const symbol = symbolOf(unit);
    const { index, count } = unit;
    return {
      key: index === undefined ? chip.ref : `${chip.ref} ${index}`,
      ref: chip.ref,
      part: chip.part.number,
      which: index === undefined ? "" : `${index} of ${count}`,
      note: index === undefined ? chip.note : "",
      width: symbol.width,
      height: symbol.height,
      symbol,
      pins: symbol.pins.map(({ pin, mark, side, y }) => ({
        number: pin.number,
        name: pin.name,
        side,
        y,
        mark,
        use: useOf(circuit, chip, pin.name),
      })),
    };
  });
}

function useOf(circuit: Circuit, chip: Chip, pin: string): NetUse {
  const net = chip.nets.get(pin);
  if (!net) return { kind: "open" };
  const rail = railOfNet(circuit, net);
  if (rail) return { kind: "rail", name: rail.name.replace(" rail", "") };
  const isHere = (end: { chip: Chip; pin: string }) => end.chip === chip && end.pin === pin;
  return { kind: "net", name: net.name, drives: net.drivers.some(isHere), receives: net.receivers.some(isHere) };
}

const passiveSize = { width: 34, height: 22 };
/** Of the legs, low enough for the names of their nets below the part's own. */
export const legHeight = 13;

/** The symbol of a resistor or capacitor, its first leg to the left; a leg on a rail is the second. */
export function passiveItem(circuit: Circuit, passive: Passive): Item {
  const nets = new Map(circuit.nets.map((net) => [net.name, net]));
  const uses = passive.nets.map((name): NetUse => {
    const net = nets.get(name);
    const rail = net && railOfNet(circuit, net);
    if (rail) return { kind: "rail", name: rail.name.replace(" rail", "") };
    return { kind: "net", name, drives: false, receives: false };
  });
  const [first, second] = uses[0]?.kind === "rail" ? [...uses].reverse() : uses;
  const y = legHeight;
  return {
    key: passive.ref,
    ref: passive.ref,
    part: passive.value,
    which: "",
    note: "",
    ...passiveSize,
    passive,
    pins: [
      ...(first ? [{ name: "", side: "left" as const, y, use: first }] : []),
      ...(second ? [{ name: "", side: "right" as const, y, use: second }] : []),
    ],
  };
}

/** The resistors and capacitors that stand in a signal's way; those across the supply stand in a list. */
export function drawnPassives(circuit: Circuit): Passive[] {
  const { atChip, bulk } = decoupling(circuit);
  const atSupply = new Set([...atChip.values(), ...bulk].map(({ ref }) => ref));
  return circuit.passives.filter(({ ref }) => !atSupply.has(ref));
}
