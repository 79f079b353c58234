import type { Chip, Circuit, Net, NetId } from "../circuit/circuit.js";
import { drivesNet, netsFromOutside } from "../circuit/index.js";
import { type Expression, type Latch, type Memory, type Register, type Storage, memoryPorts } from "../parts/index.js";
import { type DecisionRoot, DecisionTables } from "./decision.js";
import { ListBuilder, toLists } from "./lists.js";
import type { ArcGroup, Driver, MemoryTable, Tables, Variable, Wire } from "./tables.js";

/** Flattens a circuit. Throws RangeError on a memory wider than eight bits, which the simulator cannot hold. */
export function compileTables(circuit: Circuit): Tables {
  const compiler = new TableCompiler(circuit);
  for (const chip of circuit.chips) compiler.addChip(chip);
  compiler.addOutside();
  compiler.addWires();
  return compiler.tables();
}

interface Bit {
  readonly variable: number;
  readonly edge: DecisionRoot;
  readonly level: DecisionRoot;
}

interface ClockGroup {
  readonly root: DecisionRoot;
  readonly bits: number[];
}

/** What is known of one chip while it is added. */
interface ChipScope {
  readonly chip: Chip;
  readonly variables: Map<string, number>;
  readonly firstBit: number;
  readonly add: (value: Expression, enable?: Expression) => DecisionRoot;
}

/** An output of the chip that is being added, with the variables that its level and its enable read. */
interface LogicOutput {
  readonly driver: number;
  readonly reads: ReadonlySet<number>;
  readonly level: ReadonlySet<number>;
  readonly enable: ReadonlySet<number>;
}

class TableCompiler {
  private readonly circuit: Circuit;
  private readonly decisions = new DecisionTables();
  private readonly variables: Variable[] = [];
  private readonly variableIndex = new Map<Chip, Map<string, number>>();
  private readonly drivers: Driver[] = [];
  private readonly driverRoot: DecisionRoot[] = [];
  private readonly outside = new Map<NetId, number>();
  private readonly clockEnables = new Map<number, DecisionRoot>();
  private readonly bits: Bit[] = [];
  private readonly clocks: ClockGroup[] = [];
  private readonly clocksOf = new ListBuilder();
  private readonly levelsOf = new ListBuilder();
  private readonly arcs = new ArcGroups();
  private readonly readers = new ListBuilder();
  private readonly effects: (readonly number[])[] = [];
  private readonly effectsOfPin = new Map<number, number>();
  private readonly firstBitOfPin = new Map<number, number>();
  private readonly memories: MemoryTable[] = [];
  private readonly memoryOfPin = new Map<number, number>();
  private readonly memoryArcs = new ListBuilder();
  private readonly wires: Wire[] = [];
  private readonly wiresOfPin = new ListBuilder();
  private readonly driversOfNet = new ListBuilder();

  constructor(circuit: Circuit) {
    this.circuit = circuit;
  }

  addChip(chip: Chip): void {
    const { behaviour } = chip.part;
    const variables = new Map<string, number>();
    this.variableIndex.set(chip, variables);
    const addVariable = (name: string, kind: Variable["kind"], net?: Net) => {
      variables.set(name, this.variables.push({ chip, name, kind, ...(net && { net }) }) - 1);
    };
    for (const { name, role } of behaviour.pins) {
      if (role === "input" || role === "in-out") addVariable(name, "pin", chip.nets.get(name));
    }
    for (const { name } of behaviour.storage) addVariable(name, "storage");
    const variableOf = (name: string): number => {
      const variable = variables.get(name);
      if (variable === undefined) throw new RangeError(`${chip.ref} has no pin or storage bit ${name}`);
      return variable;
    };
    const scope: ChipScope = {
      chip,
      variables,
      firstBit: this.bits.length,
      add: (value, enable) => this.decisions.add(value, variableOf, enable),
    };

    for (const bit of behaviour.storage) this.addStorage(bit, variableOf(bit.name), scope);
    this.addOutputs(scope);
    if (behaviour.clockSource) {
      const driver = this.addDriver(chip, behaviour.clockSource.pin, "clock");
      const { enable } = behaviour.clockSource;
      if (driver >= 0 && enable) this.clockEnables.set(driver, scope.add(enable));
    }
    const firstPort = this.memories.length;
    for (const port of memoryPorts(behaviour)) this.addMemory(port, firstPort, variableOf, scope);
  }

  /** Inputs from outside are drivers too, and processors. */
  addOutside(): void {
    for (const net of netsFromOutside(this.circuit)) {
      this.outside.set(net.id, this.drivers.length);
      this.drivers.push({ net, pin: net.name, source: "outside" });
      this.driverRoot.push(-1);
    }
  }

  /** Every driver of a net with every receiver; once all drivers are known. */
  addWires(): void {
    this.drivers.forEach(({ net }, driver) => this.driversOfNet.add(net.id, driver));
    for (const net of this.circuit.nets) {
      const drivers = this.driversOfNet.get(net.id);
      for (const driver of drivers) {
        for (const { chip, pin } of net.receivers) {
          const receiver = this.variableIndex.get(chip)?.get(pin);
          if (receiver === undefined) continue;
          this.wires.push({ driver, receiver });
          if (drivers.length > 1) this.wiresOfPin.add(receiver, this.wires.length - 1);
        }
      }
    }
  }

  tables(): Tables {
    const { circuit, variables, drivers, clocks, bits, variableIndex, outside } = this;
    const bitsOfClock = new ListBuilder();
    clocks.forEach((clock, index) => bitsOfClock.add(index, ...clock.bits));
    const bitOf = new Map(bits.map(({ variable }, bit) => [variable, bit]));
    const readAcross = new ListBuilder();
    clocks.forEach(({ root, bits: own }, index) => {
      if ([...this.decisions.variablesOf(root)].some((variable) => bitOf.has(variable))) return;
      const reads = new Set(own.flatMap((bit) => [...this.decisions.variablesOf(bits[bit]?.edge ?? -1)]));
      const others = [...reads].flatMap((variable) => bitOf.get(variable) ?? []).filter((bit) => !own.includes(bit));
      readAcross.add(index, ...others.filter((bit) => (bits[bit]?.edge ?? -1) >= 0));
    });
    const ofVariables = (map: ReadonlyMap<number, number>) =>
      Int32Array.from(variables, (_, variable) => map.get(variable) ?? -1);
    return {
      circuit,
      variables,
      drivers,
      wires: this.wires,
      arcs: this.arcs.list,
      memories: this.memories,
      decisionVariable: Int32Array.from(this.decisions.variable),
      decisionNext: Int32Array.from(this.decisions.next),
      driverRoot: Int32Array.from(this.driverRoot),
      driversOfNet: this.driversOfNet.lists(circuit.nets.length),
      wiresOfPin: this.wiresOfPin.lists(variables.length),
      readersOfPin: this.readers.lists(variables.length),
      clocksOf: this.clocksOf.lists(variables.length),
      levelsOf: this.levelsOf.lists(variables.length),
      clockRoot: Int32Array.from(clocks, ({ root }) => root),
      bitsOfClock: bitsOfClock.lists(clocks.length),
      readAcross: readAcross.lists(clocks.length),
      bitVariable: Int32Array.from(bits, ({ variable }) => variable),
      edgeRoot: Int32Array.from(bits, ({ edge }) => edge),
      levelRoot: Int32Array.from(bits, ({ level }) => level),
      effectsOfPin: ofVariables(this.effectsOfPin),
      firstBitOfPin: ofVariables(this.firstBitOfPin),
      effects: toLists(this.effects),
      memoryOfPin: ofVariables(this.memoryOfPin),
      memoryArcsOfPin: this.memoryArcs.lists(variables.length),
      clockEnables: this.clockEnables,
      variableOf: (chip, name) => variableIndex.get(chip)?.get(name),
      outsideDriverOf: (net) => outside.get(net),
    };
  }

  /** -1 where the pin is open or on a rail. */
  private addDriver(chip: Chip, pin: string, source: Driver["source"], root: DecisionRoot = -1): number {
    const net = chip.nets.get(pin);
    if (!net || net.rail || !drivesNet(net)) return -1;
    this.driverRoot.push(root);
    return this.drivers.push({ chip, pin, net, source }) - 1;
  }

  private addStorage(bit: Storage, variable: number, scope: ChipScope): void {
    const index = this.bits.length;
    if (bit.kind === "latch") {
      this.bits.push({ variable, edge: -1, level: this.addLevel(bit, index, variable, scope) });
      return;
    }
    const level = bit.overrides.length === 0 ? -1 : this.addLevel(bit, index, variable, scope);
    this.bits.push({ variable, edge: scope.add(overridden(bit, bit.next)), level });
    const root = scope.add(bit.clock);
    const shared = this.clocks.find((clock) => clock.root === root && (clock.bits[0] ?? -1) >= scope.firstBit);
    if (shared) {
      shared.bits.push(index);
      return;
    }
    const clock = this.clocks.push({ root, bits: [index] }) - 1;
    for (const read of this.decisions.variablesOf(root)) this.clocksOf.add(read, clock);
  }

  /** What a bit takes without a clock: from overrides, from a latch that is open, or else from itself. */
  private addLevel(bit: Register | Latch, index: number, variable: number, { add }: ChipScope): DecisionRoot {
    const self: Expression = { kind: "name", name: bit.name };
    const otherwise: Expression =
      bit.kind === "latch" ? { kind: "choose", when: bit.open, then: bit.next, otherwise: self } : self;
    const root = add(overridden(bit, otherwise));
    for (const read of this.decisions.variablesOf(root)) if (read !== variable) this.levelsOf.add(read, index);
    return root;
  }

  /** Who reads which pin, straight or by the storage that it changes. */
  private addOutputs({ chip, variables, firstBit, add }: ChipScope): void {
    const { decisions } = this;
    const outputs = chip.part.behaviour.outputs.flatMap(({ pin, value, enable }): readonly LogicOutput[] => {
      const root = add(value, enable);
      const driver = this.addDriver(chip, pin, "logic", root);
      if (driver < 0) return [];
      const level = decisions.variablesOf(add(value));
      const enabling = enable ? decisions.variablesOf(add(enable)) : new Set<number>();
      return [{ driver, reads: decisions.variablesOf(root), level, enable: enabling }];
    });
    const readersOf = (variable: number, cause: number): readonly number[] =>
      outputs
        .filter(({ reads }) => reads.has(variable))
        .flatMap(({ driver, level, enable }) => [
          driver,
          this.arcs.add(cause, driver, level.has(variable), enable.has(variable)),
        ]);
    for (const pin of variables.values()) {
      if (this.variables[pin]?.kind !== "pin") continue;
      this.readers.add(pin, ...readersOf(pin, pin));
      const touched = this.bitsTouchedBy(pin);
      if (touched.size === 0) continue;
      this.effectsOfPin.set(pin, this.effects.length);
      this.firstBitOfPin.set(pin, firstBit);
      this.bits.slice(firstBit).forEach(({ variable }, bit) => {
        this.effects.push(touched.has(firstBit + bit) ? readersOf(variable, pin) : []);
      });
    }
  }

  /** Every storage bit that a change at a pin can change, other bits of the chip having changed on the way. */
  private bitsTouchedBy(pin: number): ReadonlySet<number> {
    const touched = new Set<number>();
    const visit = (variable: number): void => {
      const clocked = this.clocksOf.get(variable).flatMap((clock) => this.clocks[clock]?.bits ?? []);
      for (const bit of [...clocked, ...this.levelsOf.get(variable)]) {
        if (touched.has(bit)) continue;
        touched.add(bit);
        visit(this.bits[bit]?.variable ?? 0);
      }
    };
    visit(pin);
    return touched;
  }

  private addMemory(
    memory: Memory,
    firstPort: number,
    variableOf: (name: string) => number,
    { chip, add }: ChipScope,
  ): void {
    if (memory.data.length > 8) {
      throw new RangeError(`${chip.ref}: a memory of ${memory.data.length} bits a word; at most 8`);
    }
    const write: Expression = memory.write ?? { kind: "constant", value: 0 };
    const driveRoot = add({ kind: "and", left: memory.read, right: { kind: "not", of: write } });
    const writeRoot = add(write);
    const control = new Set([...this.decisions.variablesOf(driveRoot), ...this.decisions.variablesOf(writeRoot)]);
    const table: MemoryTable = {
      chip,
      firstPort,
      address: memory.address.map(variableOf),
      dataIn: memory.write ? memory.data.map(variableOf) : [],
      dataOut: memory.data.map((pin) => this.addDriver(chip, pin, "memory")),
      drive: driveRoot,
      write: writeRoot,
      control,
    };
    const index = this.memories.push(table) - 1;
    for (const pin of [...table.address, ...table.dataIn, ...control]) this.memoryOfPin.set(pin, index);
    for (const pin of new Set([...table.address, ...control])) {
      const [level, enable] = [table.address.includes(pin), control.has(pin)];
      const toData = table.dataOut.map((driver) => (driver < 0 ? -1 : this.arcs.add(pin, driver, level, enable)));
      this.memoryArcs.add(pin, ...toData);
    }
  }
}

/** What a storage bit takes: the first override that is active, or else `otherwise`. */
export function overridden({ overrides }: Storage, otherwise: Expression): Expression {
  return overrides.reduceRight<Expression>(
    (rest, { when, value }) => ({ kind: "choose", when, then: value, otherwise: rest }),
    otherwise,
  );
}

/** Arc groups, each pin and driver once. */
class ArcGroups {
  readonly list: { -readonly [K in keyof ArcGroup]: ArcGroup[K] }[] = [];
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
