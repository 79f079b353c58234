import type { Chip, Circuit } from "../circuit/index.js";
import { type Part, type PinRole, sourceLine } from "../parts/index.js";
import { groundRail, railOfNet, supplyRail } from "./terminal.js";

/** A pin position of a package, with what is on it. */
export interface MapPin {
  readonly number: number;
  /** Empty where the package has a position without a pin (a can with four corner pins). */
  readonly pin: string;
  /** The net, a rail's name, `open`, empty for positions that connect to nothing; of a part by itself `in`, `out`. */
  readonly net: string;
  readonly state: "net" | "rail" | "open" | "unconnected" | "no pin";
}

/** A chip seen from above, pin 1 at the top left. */
export interface PinMap {
  /** Empty for a part by itself. */
  readonly chip: string;
  readonly part: string;
  readonly title: string;
  readonly note: string;
  readonly package: string;
  /** False: the part has to sit on an adapter, and the numbers are those of its own package. */
  readonly isDual: boolean;
  /** Where the order of the pins was read, with the mark of what was recalled only. */
  readonly source: string;
  /** Downwards from pin 1. */
  readonly left: readonly MapPin[];
  /** Downwards from the highest number; as long as `left`. */
  readonly right: readonly MapPin[];
}

/** The pin map of every chip, in file order. */
export function pinMaps(circuit: Circuit): PinMap[] {
  return circuit.chips.map((chip) => pinMap(circuit, chip));
}

function pinMap(circuit: Circuit, chip: Chip): PinMap {
  const { part } = chip;
  const roles = rolesOf(part);
  return {
    chip: chip.ref,
    note: chip.note,
    ...placed(part, (number, pin): MapPin => {
      const role = roles.get(pin);
      if (role === "supply") return { number, pin, net: supplyRail(circuit, chip.supply).name, state: "rail" };
      if (role === "ground") return { number, pin, net: groundRail.name, state: "rail" };
      const net = chip.nets.get(pin);
      const rail = net && railOfNet(circuit, net);
      if (rail) return { number, pin, net: rail.name, state: "rail" };
      if (net) return { number, pin, net: net.name, state: "net" };
      return chip.open.has(pin)
        ? { number, pin, net: "open", state: "open" }
        : { number, pin, net: "", state: "unconnected" };
    }),
    isDual: part.package.isDual || circuit.build === "printed board",
  };
}

const kinds: Readonly<Record<PinRole, string>> = {
  input: "in",
  output: "out",
  "in-out": "in/out",
  supply: "supply",
  ground: "ground",
  unconnected: "",
};

/** The pins of a part by itself; in place of nets, which way each pin works. */
export function partPinMap(part: Part): PinMap {
  const roles = rolesOf(part);
  return {
    chip: "",
    note: "",
    ...placed(part, (number, pin): MapPin => {
      const role = roles.get(pin) ?? "unconnected";
      return { number, pin, net: kinds[role], state: role === "unconnected" ? "unconnected" : "net" };
    }),
  };
}

function rolesOf({ behaviour }: Part): ReadonlyMap<string, PinRole> {
  return new Map(behaviour.pins.map(({ name, role }) => [name, role]));
}

/** A part's pins in their places. */
function placed(part: Part, pinAt: (number: number, pin: string) => MapPin): Omit<PinMap, "chip" | "note"> {
  const names = new Map(part.package.pins.map(({ number, name }) => [number, name]));
  const positions = Number(/-(\d+)$/.exec(part.package.name)?.[1] ?? 0);
  const side = Math.ceil(Math.max(positions, ...names.keys()) / 2);
  const at = (number: number): MapPin => {
    const pin = names.get(number);
    return pin === undefined ? { number, pin: "", net: "", state: "no pin" } : pinAt(number, pin);
  };
  const downwards = Array.from({ length: side }, (_, i) => i);
  return {
    part: part.number,
    title: part.behaviour.title,
    package: part.package.name,
    isDual: part.package.isDual,
    source: sourceLine(part.package.source),
    left: downwards.map((i) => at(i + 1)),
    right: downwards.map((i) => at(2 * side - i)),
  };
}
