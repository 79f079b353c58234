import type { Chip, Circuit, Net, NetId } from "../../circuit/circuit.js";
import { drivesNet, netsFromOutside } from "../../circuit/index.js";
import { type Expression, type Memory, type Storage, memoryPorts, namesIn } from "../../parts/index.js";

/**
 * A number for everything in a circuit that has a level: first its nets (by their own numbers), then the storage bits, then
 * what drives a net from without (oscillators and inputs from outside), last the input pins that are on no net.
 */
export type Signal = number;

/** One storage bit of one chip. */
export interface StoredBit {
  readonly signal: Signal;
  readonly chip: Chip;
  readonly storage: Storage;
}

/**
 * Storage bits of one chip that read each other or show at one output. They act together on each change at a pin of the chip;
 * independent flip-flops of one package are clusters of their own.
 */
export interface Cluster {
  readonly chip: Chip;
  /** Indices of bits, those that act on others before those that they act on. */
  readonly bits: readonly number[];
}

/** What drives a net. */
export type Driver =
  | {
      readonly kind: "logic";
      readonly net: Signal;
      readonly chip: Chip;
      readonly pin: string;
      readonly value: Expression;
      readonly enable?: Expression;
    }
  | { readonly kind: "memory"; readonly net: Signal; readonly port: number; readonly bit: number }
  /** An oscillator, or something outside: what `source` carries. */
  | { readonly kind: "source"; readonly net: Signal; readonly source: number };

/** An oscillator, or an input from outside. Its level is a signal; it may also drive nothing. */
export interface SignalSource {
  readonly signal: Signal;
  readonly net: Net;
  /** Absent for an input from outside. */
  readonly oscillator?: { readonly chip: Chip; readonly enable?: Expression };
}

/** One port onto a memory. Lists have bit 0 first. */
export interface Port {
  readonly chip: Chip;
  readonly memory: number;
  readonly address: readonly Signal[];
  /** What the data pins see. */
  readonly data: readonly Signal[];
  readonly read: Expression;
  /** Absent where it cannot be written. */
  readonly write?: Expression;
}

/** One array of words. */
export interface MemoryArray {
  readonly chip: Chip;
  readonly addressBits: number;
  readonly wordBits: number;
  readonly ports: readonly number[];
}

/** A circuit as numbered signals and what makes them. */
export interface Structure {
  readonly circuit: Circuit;
  readonly netCount: number;
  readonly signalCount: number;
  readonly bits: readonly StoredBit[];
  readonly clusters: readonly Cluster[];
  /** Of a bit: its cluster. */
  readonly clusterOf: readonly number[];
  readonly sources: readonly SignalSource[];
  readonly drivers: readonly Driver[];
  /** Of a net: its drivers. */
  readonly driversOf: readonly (readonly number[])[];
  readonly ports: readonly Port[];
  readonly memories: readonly MemoryArray[];
  /** The signal that a chip's expressions mean by a name. */
  readonly signalOf: (chip: Chip, name: string) => Signal;
  /** Whether a net may carry nothing, or several drivers at once. */
  readonly isShared: (net: Signal) => boolean;
  /** Name of a signal for people: `DOT`, `U7 qA`. */
  readonly nameOf: (signal: Signal) => string;
  readonly sourceOf: (net: NetId) => number | undefined;
}

/** Numbers everything. Throws RangeError on a memory of more than eight bits a word. */
export function structureOf(circuit: Circuit): Structure {
  const netCount = circuit.nets.length;
  const bits: StoredBit[] = [];
  const names: string[] = circuit.nets.map(({ name }) => name);
  const scopes = new Map<Chip, Map<string, Signal>>();
  for (const chip of circuit.chips) {
    const scope = new Map<string, Signal>();
    scopes.set(chip, scope);
    for (const storage of usedStorage(chip)) {
      const signal = names.push(`${chip.ref} ${storage.name}`) - 1;
      scope.set(storage.name, signal);
      bits.push({ signal, chip, storage });
    }
  }
  const sources: SignalSource[] = [];
  for (const chip of circuit.chips) {
    const { clockSource } = chip.part.behaviour;
    const net = clockSource && chip.nets.get(clockSource.pin);
    if (!net || net.rail || !drivesNet(net)) continue;
    const signal = names.push(net.name) - 1;
    const { enable } = clockSource;
    sources.push({ signal, net, oscillator: { chip, ...(enable && { enable }) } });
  }
  for (const net of netsFromOutside(circuit)) sources.push({ signal: names.push(net.name) - 1, net });
  for (const chip of circuit.chips) {
    const scope = scopes.get(chip);
    for (const { name, role } of chip.part.behaviour.pins) {
      if (role !== "input" && role !== "in-out") continue;
      const net = chip.nets.get(name);
      scope?.set(name, net ? net.id : names.push(`${chip.ref} ${name}`) - 1);
    }
  }
  const signalOf = (chip: Chip, name: string): Signal => {
    const signal = scopes.get(chip)?.get(name);
    if (signal === undefined) throw new RangeError(`${chip.ref} has no pin or storage bit ${name}`);
    return signal;
  };

  const { ports, memories } = portsOf(circuit, signalOf);
  const drivers = driversIn(circuit, sources, ports);
  const driversOf = circuit.nets.map((): number[] => []);
  drivers.forEach(({ net }, driver) => driversOf[net]?.push(driver));
  const isShared = (net: Signal) => {
    const own = driversOf[net] ?? [];
    const [only] = own.map((driver) => drivers[driver]);
    if (circuit.nets[net]?.rail) return false;
    if (own.length !== 1 || !only) return true;
    if (only.kind === "source") return true; // an input may be let go, an oscillator switched off
    return only.kind === "memory" || only.enable !== undefined;
  };
  const clusters = clustersOf(circuit, bits, signalOf);
  const clusterOf = bits.map(() => 0);
  clusters.forEach(({ bits: own }, cluster) => own.forEach((bit) => (clusterOf[bit] = cluster)));
  const sourceOfNet = new Map<Net, number>();
  sources.forEach(({ net, oscillator }, source) => {
    if (!oscillator) sourceOfNet.set(net, source);
  });
  return {
    circuit,
    netCount,
    signalCount: names.length,
    bits,
    clusters,
    clusterOf,
    sources,
    drivers,
    driversOf,
    ports,
    memories,
    signalOf,
    isShared,
    nameOf: (signal) => names[signal] ?? "",
    sourceOf: (id) => {
      const net = circuit.nets[id];
      return net && sourceOfNet.get(net);
    },
  };
}

function portsOf(circuit: Circuit, signalOf: (chip: Chip, name: string) => Signal) {
  const ports: Port[] = [];
  const memories: MemoryArray[] = [];
  for (const chip of circuit.chips) {
    const own = memoryPorts(chip.part.behaviour);
    const [first] = own;
    if (!first) continue;
    if (first.data.length > 8) {
      throw new RangeError(`${chip.ref}: a memory of ${first.data.length} bits a word; at most 8`);
    }
    const memory = memories.length;
    const numbers = own.map((port: Memory) => {
      const at = (names: readonly string[]) => names.map((name) => signalOf(chip, name));
      const { address, data, read, write } = port;
      // The data pins of a read-only memory see nothing.
      return (
        ports.push({ chip, memory, address: at(address), data: write ? at(data) : [], read, ...(write && { write }) }) -
        1
      );
    });
    memories.push({ chip, addressBits: first.address.length, wordBits: first.data.length, ports: numbers });
  }
  return { ports, memories };
}

function driversIn(circuit: Circuit, sources: readonly SignalSource[], ports: readonly Port[]): Driver[] {
  const drivers: Driver[] = [];
  let port = 0;
  for (const chip of circuit.chips) {
    const { behaviour } = chip.part;
    for (const { pin, value, enable } of behaviour.outputs) {
      const net = chip.nets.get(pin);
      if (!net || net.rail || !drivesNet(net)) continue;
      drivers.push({ kind: "logic", net: net.id, chip, pin, value, ...(enable && { enable }) });
    }
    for (const { data } of memoryPorts(behaviour)) {
      data.forEach((pin, bit) => {
        const net = chip.nets.get(pin);
        if (net && !net.rail && drivesNet(net)) drivers.push({ kind: "memory", net: net.id, port, bit });
      });
      port++;
    }
  }
  if (port !== ports.length) throw new RangeError("ports were counted in two ways");
  sources.forEach(({ net }, source) => drivers.push({ kind: "source", net: net.id, source }));
  return drivers;
}

/** The storage bits of a chip that show at a connected output, or act on bits that do. Nothing can be told by the others. */
function usedStorage({ part, nets }: Chip): readonly Storage[] {
  const { storage, outputs } = part.behaviour;
  const names = outputs
    .filter(({ pin }) => nets.has(pin))
    .flatMap(({ value, enable }) => [value, ...(enable ? [enable] : [])])
    .flatMap(namesIn);
  const used = new Set(names);
  for (const name of used) {
    const bit = storage.find((one) => one.name === name);
    if (bit) for (const read of [...actingNames(bit), ...namesIn(bit.next)]) used.add(read);
  }
  return storage.filter(({ name }) => used.has(name));
}

/** Names that act at once on a bit: its clock, its latch enable and data while open, and its overrides. */
export function actingNames(storage: Storage): readonly string[] {
  const { overrides } = storage;
  const acting = storage.kind === "register" ? [storage.clock] : [storage.open, storage.next];
  return [...new Set([...acting, ...overrides.flatMap(({ when, value }) => [when, value])].flatMap(namesIn))];
}

function clustersOf(
  { chips }: Circuit,
  bits: readonly StoredBit[],
  signalOf: (chip: Chip, name: string) => Signal,
): Cluster[] {
  const clusters: Cluster[] = [];
  for (const chip of chips) {
    const own = bits.flatMap(({ chip: other }, index) => (other === chip ? [index] : []));
    if (own.length === 0) continue;
    const bitOf = new Map(own.map((index) => [bits[index]?.storage.name ?? "", index]));
    const together = new Map(own.map((index) => [index, index]));
    const root = (index: number): number => {
      const up = together.get(index) ?? index;
      return up === index ? index : root(up);
    };
    const join = (names: readonly string[], first?: number) => {
      const all = [...(first === undefined ? [] : [first]), ...names.flatMap((name) => bitOf.get(name) ?? [])];
      for (const index of all) together.set(root(index), root(all[0] ?? index));
    };
    for (const index of own) {
      const storage = bits[index]?.storage;
      if (storage) join([...actingNames(storage), ...namesIn(storage.next)], index);
    }
    for (const { value, enable } of chip.part.behaviour.outputs) {
      join([value, ...(enable ? [enable] : [])].flatMap(namesIn));
    }
    for (const first of new Set(own.map(root))) {
      const members = own.filter((index) => root(index) === first);
      clusters.push({ chip, bits: inOrder(members, bits, (name) => bitOf.get(name)) });
    }
  }
  // Names that are no bits must be pins: a mistake is found here and not while running.
  for (const { chip, storage } of bits) for (const name of actingNames(storage)) signalOf(chip, name);
  return clusters;
}

/** Bits that act on others first, as far as they do not act on each other. */
function inOrder(
  members: readonly number[],
  bits: readonly StoredBit[],
  bitOf: (name: string) => number | undefined,
): readonly number[] {
  const order: number[] = [];
  const seen = new Set<number>();
  const visit = (index: number): void => {
    if (seen.has(index)) return;
    seen.add(index);
    const storage = bits[index]?.storage;
    for (const name of storage ? actingNames(storage) : []) {
      const other = bitOf(name);
      if (other !== undefined) visit(other);
    }
    order.push(index);
  };
  members.forEach(visit);
  return order;
}
