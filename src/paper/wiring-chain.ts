import type { Chip, Circuit, Net } from "../circuit/index.js";
import { pinTerminal, type Terminal } from "./terminal.js";

/** One wire, or one part whose legs go to two places, before it has its number in the list. */
export interface Link {
  readonly net: string;
  readonly from: Terminal;
  readonly to: Terminal;
  /** Present where the link is a part and no wire: `C1, 100 nF`. */
  readonly part?: string;
}

export interface LinkBlock {
  readonly heading: string;
  readonly links: readonly Link[];
}

/** The pins of every net, each once: drivers first in chip order, then receivers in chip order. */
export class NetPins {
  readonly #terminals: ReadonlyMap<string, readonly (Terminal & { kind: "pin" })[]>;

  constructor(circuit: Circuit) {
    const order = new Map(circuit.chips.map((chip, index) => [chip.ref, index]));
    this.#terminals = new Map(circuit.nets.map((net) => [net.name, inOrder(net, order)]));
  }

  of(net: string): readonly (Terminal & { kind: "pin" })[] {
    return this.#terminals.get(net) ?? [];
  }

  /** The net's n pins as n - 1 wires, each from where the last one ended. */
  chain(net: string): readonly Link[] {
    const pins = this.of(net);
    return pins.slice(1).map((to, i) => ({ net, from: pins[i] ?? to, to }));
  }
}

function inOrder(net: Net, order: ReadonlyMap<string, number>): (Terminal & { kind: "pin" })[] {
  const byPlace = (pins: Net["drivers"]) =>
    pins.map(pinTerminal).sort((a, b) => (order.get(a.chip) ?? 0) - (order.get(b.chip) ?? 0) || a.number - b.number);
  const seen = new Set<string>();
  return [...byPlace(net.drivers), ...byPlace(net.receivers)].filter(({ chip, number }) => {
    const key = `${chip} ${number}`;
    return !seen.has(key) && seen.add(key);
  });
}

/** One block a chip: the chains of the nets that it is the first to drive, in the order of its pins in the file. */
export function outputBlocks(circuit: Circuit, pins: NetPins): LinkBlock[] {
  return circuit.chips.map((chip) => {
    const drivenFirst = [...chip.nets].filter(
      ([pin, net]) =>
        !net.toCome &&
        net.rail === undefined &&
        net.drivers.some((driver) => driver.chip === chip && driver.pin === pin) &&
        pins.of(net.name)[0]?.chip === chip.ref,
    );
    const nets = new Set(drivenFirst.map(([, net]) => net.name));
    return { heading: chipHeading(chip), links: [...nets].flatMap((net) => pins.chain(net)) };
  });
}

/** `U3, 74HC163: column counter`. */
export function chipHeading({ ref, part, note }: Chip): string {
  return note === "" ? `${ref}, ${part.number}` : `${ref}, ${part.number}: ${note}`;
}
