import type { Chip, Circuit, Net, NetId } from "../circuit/circuit.js";
import type { Behaviour, Expression, Memory, Storage } from "../parts/index.js";
import { type DecisionRoot, DecisionTables } from "./decision.js";

/** Several lists end to end: list `i` is `items[start[i]]` up to but not including `items[start[i + 1]]`. */
export interface Lists {
  readonly start: Int32Array;
  readonly items: Int32Array;
}

/** Something that holds a value inside the circuit: an input pin as its chip sees it, or a storage bit. */
export interface Variable {
  readonly chip: Chip;
  /** Name of the pin or storage bit. */
  readonly name: string;
  readonly kind: "pin" | "storage";
  /** The net that a pin is on; a pin that is open has none and reads as unknown for ever. */
  readonly net?: Net;
}

/** Something that can drive a net. */
export interface Driver {
  readonly net: Net;
  /** Absent where the driver stands outside the circuit. */
  readonly chip?: Chip;
  readonly pin: string;
  readonly source: "logic" | "memory" | "clock" | "outside";
}

/** The wire from one driver to one receiving pin. */
export interface Wire {
  readonly driver: number;
  /** Variable of the receiving pin. */
  readonly receiver: number;
}

/** An input pin whose changes can change a driver, with up to twelve delays: two edges, six changes. */
export interface ArcGroup {
  /** Variable of the input pin. */
  readonly pin: number;
  readonly driver: number;
  /** The pin can change the level that is driven. */
  readonly level: boolean;
  /** The pin can begin and end the driving. */
  readonly enable: boolean;
}

/** One memory chip. */
export interface MemoryTable {
  readonly chip: Chip;
  /** Variables of the address pins and of the data pins as inputs; bit 0 first. */
  readonly address: readonly number[];
  readonly dataIn: readonly number[];
  /** Driver of each data pin; -1 where the pin is not on a net. */
  readonly dataOut: readonly number[];
  /** Whether the outputs drive, and whether the selected cell takes the data. */
  readonly drive: DecisionRoot;
  readonly write: DecisionRoot;
  /** Variables that `drive` or `write` reads. */
  readonly control: ReadonlySet<number>;
}

/** A circuit as flat tables, for the simulator's inner loop. Numbers in the lists are indices into the other tables. */
export interface Tables {
  readonly circuit: Circuit;
  readonly variables: readonly Variable[];
  readonly drivers: readonly Driver[];
  readonly wires: readonly Wire[];
  readonly arcs: readonly ArcGroup[];
  readonly memories: readonly MemoryTable[];
  readonly decisionVariable: Int32Array;
  readonly decisionNext: Int32Array;
  /** Of a driver: what it drives; -1 unless its source is logic. */
  readonly driverRoot: Int32Array;
  /** Of a net: the drivers on it. */
  readonly driversOfNet: Lists;
  /** Of a receiving pin on a net with several drivers: its wires. */
  readonly wiresOfPin: Lists;
  /** Of a pin: pairs of a driver whose expressions read it, and the arc group. */
  readonly readersOfPin: Lists;
  /** Of a variable: groups of registers whose clock reads it. */
  readonly clocksOf: Lists;
  /** Of a variable: storage bits whose overrides, or as a latch their enable and data, read it. */
  readonly levelsOf: Lists;
  /** Of a clock group: its clock, and the storage bits. */
  readonly clockRoot: Int32Array;
  readonly bitsOfClock: Lists;
  /** Of a storage bit: its variable, what it takes when the clock rises, and what it takes without (-1: keeps its value). */
  readonly bitVariable: Int32Array;
  readonly edgeRoot: Int32Array;
  readonly levelRoot: Int32Array;
  /** Of a storage variable: its bit; of a pin -1. */
  readonly bitOfVariable: Int32Array;
  /**
   * Of a pin that can change storage: list `effectsOfPin[pin] + bit - firstBitOfPin[pin]` holds pairs of a driver that reads
   * the bit, and the arc group from that pin.
   */
  readonly effectsOfPin: Int32Array;
  readonly firstBitOfPin: Int32Array;
  readonly effects: Lists;
  /** Of a pin: index of the memory that it belongs to, or -1. */
  readonly memoryOfPin: Int32Array;
  /** Of a memory's address or control pin: the arc group to each data bit. */
  readonly memoryArcsOfPin: Lists;
  /** Of a clock that can be switched off, by driver: when it runs. */
  readonly clockEnables: ReadonlyMap<number, DecisionRoot>;
  /** Variable of a chip's pin or storage bit. */
  readonly variableOf: (chip: Chip, name: string) => number | undefined;
  /** Driver of a chip's pin. */
  readonly driverOf: (chip: Chip, pin: string) => number | undefined;
  /** Driver of a net's input from outside. */
  readonly outsideDriverOf: (net: NetId) => number | undefined;
}

/** Flattens a circuit. Throws RangeError on a memory wider than eight bits, which the simulator cannot hold. */
export function compileTables(circuit: Circuit): Tables {
  const decisions = new DecisionTables();
  const variables: Variable[] = [];
  const drivers: Driver[] = [];
  const driverRoot: number[] = [];
  const bits: { readonly variable: number; readonly edge: DecisionRoot; readonly level: DecisionRoot }[] = [];
  const clocks: { readonly root: DecisionRoot; readonly bits: number[] }[] = [];
  const memories: MemoryTable[] = [];
  const groups = new ArcGroups();
  const readers = new ListBuilder();
  const clocksOf = new ListBuilder();
  const levelsOf = new ListBuilder();
  const effects: number[][] = [];
  const effectsOfPin: number[] = [];
  const firstBitOfPin: number[] = [];
  const memoryOfPin = new Map<number, number>();
  const memoryArcs = new ListBuilder();
  const clockEnables = new Map<number, DecisionRoot>();
  const variableIndex = new Map<Chip, Map<string, number>>();
  const driverIndex = new Map<Chip, Map<string, number>>();

  for (const chip of circuit.chips) {
    const { behaviour } = chip.part;
    const own = new Map<string, number>();
    variableIndex.set(chip, own);
    const addVariable = (name: string, kind: Variable["kind"], net?: Net) => {
      own.set(name, variables.length);
      variables.push({ chip, name, kind, ...(net && { net }) });
    };
    for (const pin of behaviour.pins) {
      if (pin.role === "input" || pin.role === "in-out") addVariable(pin.name, "pin", chip.nets.get(pin.name));
    }
    for (const bit of behaviour.storage) addVariable(bit.name, "storage");
    const variableOf = (name: string) => found(own.get(name), `${chip.ref} has no pin or storage bit ${name}`);
    const add = (value: Expression, enable?: Expression) => decisions.add(value, variableOf, enable);

    const ownDrivers = new Map<string, number>();
    driverIndex.set(chip, ownDrivers);
    const addDriver = (pin: string, source: Driver["source"], root: DecisionRoot) => {
      const net = chip.nets.get(pin);
      if (!net || net.rail) return -1;
      ownDrivers.set(pin, drivers.length);
      driverRoot.push(root);
      return drivers.push({ chip, pin, net, source }) - 1;
    };

    // Storage: what each bit takes, and which variables set it in motion.
    const firstBit = bits.length;
    for (const bit of behaviour.storage) {
      const isRegister = bit.kind === "register";
      const self: Expression = { kind: "name", name: bit.name };
      const edge = isRegister ? add(overridden(bit, bit.next)) : -1;
      const atLevel = isRegister
        ? self
        : ({ kind: "choose", when: bit.open, then: bit.next, otherwise: self } as const);
      const level = isRegister && bit.overrides.length === 0 ? -1 : add(overridden(bit, atLevel));
      const index = bits.push({ variable: variableOf(bit.name), edge, level }) - 1;
      if (level >= 0) {
        for (const read of decisions.variablesOf(level)) if (read !== variableOf(bit.name)) levelsOf.add(read, index);
      }
      if (!isRegister) continue;
      const root = add(bit.clock);
      const ownClocks = clocks.filter((clock) => (clock.bits[0] ?? -1) >= firstBit);
      const shared = ownClocks.find((clock) => clock.root === root);
      if (shared) {
        shared.bits.push(index);
        continue;
      }
      const clock = clocks.push({ root, bits: [index] }) - 1;
      for (const read of decisions.variablesOf(root)) clocksOf.add(read, clock);
    }

    // Outputs: who reads what.
    const outputs = behaviour.outputs.flatMap(({ pin, value, enable }) => {
      const driver = addDriver(pin, "logic", add(value, enable));
      if (driver < 0) return [];
      return [
        {
          driver,
          level: decisions.variablesOf(add(value)),
          enable: enable ? decisions.variablesOf(add(enable)) : new Set<number>(),
          reads: decisions.variablesOf(driverRoot[driver] ?? 0),
        },
      ];
    });
    const readersOf = (variable: number, cause: number) =>
      outputs
        .filter((output) => output.reads.has(variable))
        .flatMap(({ driver, level, enable }) => [
          driver,
          groups.add(cause, driver, level.has(variable), enable.has(variable)),
        ]);
    for (const pin of own.values()) {
      if (variables[pin]?.kind !== "pin") continue;
      readers.add(pin, ...readersOf(pin, pin));
      const touched = bitsTouchedBy(pin, clocks, bits, clocksOf, levelsOf);
      if (touched.size === 0) continue;
      effectsOfPin[pin] = effects.length;
      firstBitOfPin[pin] = firstBit;
      for (let bit = firstBit; bit < bits.length; bit++) {
        effects.push(touched.has(bit) ? readersOf(bits[bit]?.variable ?? 0, pin) : []);
      }
    }

    if (behaviour.clockSource) {
      const driver = addDriver(behaviour.clockSource.pin, "clock", -1);
      if (behaviour.clockSource.enable) clockEnables.set(driver, add(behaviour.clockSource.enable));
    }
    if (behaviour.memory) {
      const memory = addMemory(chip, behaviour.memory, variableOf, add, decisions, (pin) =>
        addDriver(pin, "memory", -1),
      );
      for (const pin of [...memory.address, ...memory.dataIn, ...memory.control]) memoryOfPin.set(pin, memories.length);
      for (const pin of new Set([...memory.address, ...memory.control])) {
        const [level, enable] = [memory.address.includes(pin), memory.control.has(pin)];
        const toData = memory.dataOut.map((driver) => (driver < 0 ? -1 : groups.add(pin, driver, level, enable)));
        memoryArcs.add(pin, ...toData);
      }
      memories.push(memory);
    }
  }
  const outside = new Map<NetId, number>();
  for (const { net } of circuit.inputs) {
    const found = circuit.nets[net];
    if (!found) continue;
    outside.set(net, drivers.length);
    drivers.push({ net: found, pin: found.name, source: "outside" });
    driverRoot.push(-1);
  }

  const driversOfNet = new ListBuilder();
  drivers.forEach(({ net }, driver) => driversOfNet.add(net.id, driver));
  const wires: Wire[] = [];
  const wiresOfPin = new ListBuilder();
  for (const net of circuit.nets) {
    const onNet = driversOfNet.get(net.id);
    for (const driver of onNet) {
      for (const { chip, pin } of net.receivers) {
        const receiver = variableIndex.get(chip)?.get(pin);
        if (receiver === undefined) continue;
        wires.push({ driver, receiver });
        if (onNet.length > 1) wiresOfPin.add(receiver, wires.length - 1);
      }
    }
  }

  const bitOfVariable = new Int32Array(variables.length).fill(-1);
  bits.forEach((bit, index) => (bitOfVariable[bit.variable] = index));
  const bitsOfClock = new ListBuilder();
  clocks.forEach((clock, index) => bitsOfClock.add(index, ...clock.bits));
  return {
    circuit,
    variables,
    drivers,
    wires,
    arcs: groups.list,
    memories,
    decisionVariable: Int32Array.from(decisions.variable),
    decisionNext: Int32Array.from(decisions.next),
    driverRoot: Int32Array.from(driverRoot),
    driversOfNet: driversOfNet.lists(circuit.nets.length),
    wiresOfPin: wiresOfPin.lists(variables.length),
    readersOfPin: readers.lists(variables.length),
    clocksOf: clocksOf.lists(variables.length),
    levelsOf: levelsOf.lists(variables.length),
    clockRoot: Int32Array.from(clocks, (clock) => clock.root),
    bitsOfClock: bitsOfClock.lists(clocks.length),
    bitVariable: Int32Array.from(bits, (bit) => bit.variable),
    edgeRoot: Int32Array.from(bits, (bit) => bit.edge),
    levelRoot: Int32Array.from(bits, (bit) => bit.level),
    bitOfVariable,
    effectsOfPin: Int32Array.from(variables, (_, pin) => effectsOfPin[pin] ?? -1),
    firstBitOfPin: Int32Array.from(variables, (_, pin) => firstBitOfPin[pin] ?? -1),
    effects: toLists(effects),
    memoryOfPin: Int32Array.from(variables, (_, pin) => memoryOfPin.get(pin) ?? -1),
    memoryArcsOfPin: memoryArcs.lists(variables.length),
    clockEnables,
    variableOf: (chip, name) => variableIndex.get(chip)?.get(name),
    driverOf: (chip, pin) => driverIndex.get(chip)?.get(pin),
    outsideDriverOf: (net) => outside.get(net),
  };
}

/** What a storage bit takes: the first override that is active, or else `otherwise`. */
function overridden(bit: Storage, otherwise: Expression): Expression {
  return bit.overrides.reduceRight<Expression>(
    (rest, override) => ({ kind: "choose", when: override.when, then: override.value, otherwise: rest }),
    otherwise,
  );
}

/** Every storage bit that a change at a pin can change, other bits of the chip having changed on the way. */
function bitsTouchedBy(
  pin: number,
  clocks: readonly { readonly bits: readonly number[] }[],
  bits: readonly { readonly variable: number }[],
  clocksOf: ListBuilder,
  levelsOf: ListBuilder,
): ReadonlySet<number> {
  const touched = new Set<number>();
  const visit = (variable: number): void => {
    const next = [...clocksOf.get(variable).flatMap((clock) => clocks[clock]?.bits ?? []), ...levelsOf.get(variable)];
    for (const bit of next) {
      if (touched.has(bit)) continue;
      touched.add(bit);
      visit(bits[bit]?.variable ?? 0);
    }
  };
  visit(pin);
  return touched;
}

function addMemory(
  chip: Chip,
  memory: Memory,
  variableOf: (name: string) => number,
  add: (value: Expression) => DecisionRoot,
  decisions: DecisionTables,
  addDriver: (pin: string) => number,
): MemoryTable {
  if (memory.data.length > 8)
    throw new RangeError(`${chip.ref}: a memory of ${memory.data.length} bits a word; at most 8`);
  const never: Expression = { kind: "constant", value: 0 };
  const write = memory.write ?? never;
  const driveRoot = add({ kind: "and", left: memory.read, right: { kind: "not", of: write } });
  const writeRoot = add(write);
  return {
    chip,
    address: memory.address.map(variableOf),
    dataIn: isWritable(chip.part.behaviour) ? memory.data.map(variableOf) : [],
    dataOut: memory.data.map(addDriver),
    drive: driveRoot,
    write: writeRoot,
    control: new Set([...decisions.variablesOf(driveRoot), ...decisions.variablesOf(writeRoot)]),
  };
}

function isWritable(behaviour: Behaviour): boolean {
  return behaviour.memory?.write !== undefined;
}

/** Arc groups, each pin and driver once. */
class ArcGroups {
  readonly list: { pin: number; driver: number; level: boolean; enable: boolean }[] = [];
  private readonly index = new Map<string, number>();

  add(pin: number, driver: number, level: boolean, enable: boolean): number {
    const key = `${pin} ${driver}`;
    const known = this.index.get(key);
    const group = known === undefined ? undefined : this.list[known];
    if (known !== undefined && group) {
      group.level ||= level;
      group.enable ||= enable;
      return known;
    }
    const added = this.list.push({ pin, driver, level, enable }) - 1;
    this.index.set(key, added);
    return added;
  }
}

class ListBuilder {
  private readonly byIndex = new Map<number, number[]>();

  add(index: number, ...items: readonly number[]): void {
    const list = this.byIndex.get(index);
    if (list) list.push(...items);
    else this.byIndex.set(index, [...items]);
  }

  get(index: number): readonly number[] {
    return this.byIndex.get(index) ?? [];
  }

  lists(count: number): Lists {
    return toLists(Array.from({ length: count }, (_, index) => this.get(index)));
  }
}

function toLists(lists: readonly (readonly number[])[]): Lists {
  const start = new Int32Array(lists.length + 1);
  lists.forEach((list, index) => (start[index + 1] = (start[index] ?? 0) + list.length));
  return { start, items: Int32Array.from(lists.flat()) };
}

function found<T>(value: T | undefined, complaint: string): T {
  if (value === undefined) throw new RangeError(complaint);
  return value;
}
