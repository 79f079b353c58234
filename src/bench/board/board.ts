import { type Chip, type Circuit, type Net, netsFromOutside } from "../../circuit/index.js";

/** Index of a pin in `Board.pins`. */
export type PinId = number;
/** Index of what pins are joined to: first the circuit's nets, then one for each pin that is left open. */
export type NodeId = number;

/** One place on the breadboard that a wire can end in: a pin of a chip, or of a connector. */
export interface BoardPin {
  readonly id: PinId;
  readonly kind: "chip" | "source" | "monitor";
  /** Of a chip's pin. */
  readonly chip?: Chip;
  /** Position of the chip in the circuit; -1 for connectors. */
  readonly chipIndex: number;
  /** The behaviour's name of the pin; the net's name at a connector. */
  readonly name: string;
  /** On the package; 0 at a connector. */
  readonly number: number;
  readonly drives: boolean;
  readonly reads: boolean;
  /** Where it belongs. */
  readonly node: NodeId;
}

/** A wire of the board: between two pins, or from a rail to a pin. */
export interface Wire {
  readonly id: number;
  readonly net: Net;
  /** Absent where the wire comes from a rail. */
  readonly from?: PinId;
  readonly to: PinId;
}

/** The board as it is wired: what the circuit says, pin by pin and wire by wire. */
export interface Board {
  readonly circuit: Circuit;
  readonly pins: readonly BoardPin[];
  readonly nodeCount: number;
  /** The nodes of ground and of the main supply. */
  readonly low: NodeId;
  readonly high: NodeId;
  /** Names of nets, and of open pins as `U7 QA`. */
  readonly nodeNames: readonly string[];
  readonly wires: readonly Wire[];
  /** Wires of each net, by its id. */
  readonly wiresOf: ReadonlyMap<NodeId, readonly Wire[]>;
  /** The pin of a chip at a place of its package; undefined at a supply pin or one without a purpose. */
  pinAt(chipIndex: number, number: number): BoardPin | undefined;
  pinNamed(chipIndex: number, name: string): BoardPin | undefined;
  /** The pin that a builder names: `U7.12`, `U7 QA`, `U7.QA`. */
  find(text: string): BoardPin | undefined;
}

/**
 * Lays a circuit out as pins and wires. Every net of n pins is a chain of n - 1 wires, its source first, then the pins that
 * drive it and those that read it, each in the order of chips and package pins; as the wiring list has it.
 */
export function boardOf(circuit: Circuit): Board {
  const pins: BoardPin[] = [];
  const nodeNames = circuit.nets.map(({ name }) => name);
  const railNode = (level: "low" | "high") => {
    const found = circuit.nets.findIndex(({ rail, supply }) => rail === level && !supply);
    return found >= 0 ? found : nodeNames.push(level) - 1;
  };
  const [low, high] = [railNode("low"), railNode("high")];
  const byPlace = new Map<string, BoardPin>();
  const byName = new Map<string, BoardPin>();
  const add = (pin: Omit<BoardPin, "id">): BoardPin => {
    const whole = { id: pins.length, ...pin };
    pins.push(whole);
    return whole;
  };
  circuit.chips.forEach((chip, chipIndex) => {
    const places = new Map(chip.part.package.pins.map(({ name, number }) => [name, number]));
    for (const { name, role } of chip.part.behaviour.pins) {
      if (role !== "input" && role !== "output" && role !== "in-out") continue;
      const net = chip.nets.get(name);
      const number = places.get(name) ?? 0;
      const node = net ? net.id : nodeNames.push(`${chip.ref} ${name}`) - 1;
      const pin = add({
        kind: "chip",
        chip,
        chipIndex,
        name,
        number,
        drives: role !== "input" && !chip.part.behaviour.undescribed.includes(name),
        reads: role !== "output",
        node,
      });
      byPlace.set(`${chipIndex} ${number}`, pin);
      byName.set(`${chipIndex} ${name}`, pin);
    }
  });
  const outside = new Set(netsFromOutside(circuit).filter(({ rail }) => !rail));
  const sourceOf = new Map<Net, BoardPin>();
  for (const net of outside) {
    const place = { chipIndex: -1, number: 0, name: net.name, node: net.id };
    sourceOf.set(net, add({ kind: "source", ...place, drives: true, reads: false }));
  }
  const monitorOf = new Map<number, BoardPin>();
  for (const id of new Set(pictureNetsOf(circuit))) {
    const place = { chipIndex: -1, number: 0, name: nodeNames[id] ?? "", node: id };
    monitorOf.set(id, add({ kind: "monitor", ...place, drives: false, reads: true }));
  }

  const wires: Wire[] = [];
  const wiresOf = new Map<NodeId, Wire[]>();
  const wire = (net: Net, from: PinId | undefined, to: PinId) => {
    const one = { id: wires.length, net, ...(from !== undefined && { from }), to };
    wires.push(one);
    const own = wiresOf.get(net.id);
    if (own) own.push(one);
    else wiresOf.set(net.id, [one]);
  };
  for (const net of circuit.nets) {
    const own = pins.filter(({ node, kind }) => node === net.id && kind === "chip");
    if (net.rail) {
      for (const { id } of own) wire(net, undefined, id);
      continue;
    }
    const inOrder = (some: readonly BoardPin[]) =>
      [...some].sort((a, b) => a.chipIndex - b.chipIndex || a.number - b.number);
    const chain = [
      sourceOf.get(net),
      ...inOrder(own.filter(({ drives }) => drives)),
      ...inOrder(own.filter(({ drives }) => !drives)),
    ].filter((pin) => pin !== undefined);
    chain.slice(1).forEach((pin, index) => wire(net, chain[index]?.id, pin.id));
    const monitor = monitorOf.get(net.id);
    if (monitor && chain[0]) wire(net, chain[0].id, monitor.id);
  }

  const refs = new Map(circuit.chips.map(({ ref }, index) => [ref.toUpperCase(), index]));
  const pinAt = (chipIndex: number, number: number) => byPlace.get(`${chipIndex} ${number}`);
  const pinNamed = (chipIndex: number, name: string) => byName.get(`${chipIndex} ${name}`);
  return {
    circuit,
    pins,
    nodeCount: nodeNames.length,
    low,
    high,
    nodeNames,
    wires,
    wiresOf,
    pinAt,
    pinNamed,
    find(text) {
      const [, ref = "", place = ""] = /^\s*([A-Za-z]+\d+)[\s.:-]+(\S+)\s*$/.exec(text) ?? [];
      const chipIndex = refs.get(ref.toUpperCase());
      if (chipIndex === undefined) return undefined;
      const aliases = circuit.chips[chipIndex]?.part.behaviour.aliases ?? {};
      return /^\d{1,3}$/.test(place)
        ? pinAt(chipIndex, Number(place))
        : (pinNamed(chipIndex, place) ?? pinNamed(chipIndex, aliases[place] ?? ""));
    },
  };
}

/** The nets of the picture in the order of a monitor's taps: syncs first, then the bits of a dot. */
export function pictureNetsOf({ picture }: Circuit): readonly number[] {
  if (!picture) return [];
  const { hsync, vsync, video } = picture;
  return [hsync, vsync, ...(video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue])];
}

/** `U7.12 QA`, or the net at a connector. */
export function pinLabel({ kind, chip, number, name }: BoardPin): string {
  if (kind === "chip") return `${chip?.ref ?? ""}.${number} ${name}`;
  return kind === "source" ? `connector ${name}` : `monitor ${name}`;
}
