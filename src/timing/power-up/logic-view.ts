import type { Chip, Circuit, ExternalInput, Net } from "../../circuit/index.js";
import type { Expression, Storage } from "../../parts/index.js";
import { sectionsOf } from "../sections.js";
import { constantOf, folded, namesOf, withoutIdle } from "./fold.js";
import { restingDelay } from "./resting-delay.js";

/** Number of a net in `LogicView.nets`: that of the circuit's nets; pins left open have numbers after those. */
export type LogicNetId = number;

/** A signal as logic alone sees it. */
export interface LogicNet {
  readonly id: LogicNetId;
  readonly name: string;
  /** A rail, or a reset that is taken as let go. */
  readonly constant?: 0 | 1;
  readonly isOscillator: boolean;
  /** What drives it from outside; also the reset. */
  readonly input?: ExternalInput;
  readonly drivers: LogicOutput[];
  readonly readers: LogicSection[];
  /** Memory, something outside, an open pin, a processor: its level is anyone's guess. */
  readonly isUnknown: boolean;
}

/** An output pin. Names in its logic are numbers of nets, and storage bits of its section. */
export interface LogicOutput {
  readonly section: LogicSection;
  readonly pin: string;
  readonly net: LogicNetId;
  readonly value: Expression;
  readonly enable?: Expression;
  /** One delay within the limits of all its arcs, in fs. */
  readonly delay: number;
}

/** A section of a chip (see `sectionsOf`) that follows from its pins and storage alone. */
export interface LogicSection {
  /** The same in every view of a circuit: `U7 0`. */
  readonly key: string;
  readonly chip: Chip;
  /** Names in the logic are numbers of nets and names of these bits. */
  readonly storage: readonly Storage[];
  readonly outputs: readonly LogicOutput[];
  readonly reads: ReadonlySet<LogicNetId>;
}

/** A memory that can be written. */
export interface LogicMemory {
  readonly chip: Chip;
  /** Stands for the memory's inside: its one output, on a net of its own, is high while the memory is written. */
  readonly writing: LogicSection;
}

/** A circuit without times: behaviours with the rails put in, sections without a connected output left out. */
export interface LogicView {
  readonly nets: readonly LogicNet[];
  readonly sections: readonly LogicSection[];
  readonly memories: readonly LogicMemory[];
  /** What lets memories drive their data pins. */
  readonly memoryReads: readonly Expression[];
  /** Nets that act at power-up only, with their active level. */
  readonly resets: readonly { readonly net: LogicNetId; readonly active: 0 | 1; readonly input: ExternalInput }[];
}

type Draft<T> = { -readonly [K in keyof T]: T[K] };

/**
 * `oscillator`: the one that the board runs from; any other may do anything. `resets`: taken as let go for good, or as
 * signals whose level is given later.
 */
export function logicView(circuit: Circuit, oscillator: Chip, resets: "released" | "given"): LogicView {
  const nets: Draft<LogicNet>[] = circuit.nets.map((net): Draft<LogicNet> => {
    const constant = constantLevel(net, resets);
    return {
      id: net.id,
      name: net.name,
      ...(constant !== undefined && { constant }),
      isOscillator: false,
      ...(net.input && { input: net.input }),
      drivers: [],
      readers: [],
      isUnknown: false,
    };
  });
  const openPin = (chip: Chip, pin: string): LogicNetId => {
    const id = nets.length;
    const name = `${chip.ref} ${pin}`;
    nets.push({ id, name, isOscillator: false, drivers: [], readers: [], isUnknown: true });
    return id;
  };
  const sections: LogicSection[] = [];
  const memories: LogicMemory[] = [];
  const memoryReads: Expression[] = [];
  for (const chip of circuit.chips) {
    const open = new Map<string, LogicNetId>();
    const netOf = (pin: string): LogicNetId => {
      const net = chip.nets.get(pin)?.id ?? open.get(pin);
      if (net !== undefined) return net;
      const id = openPin(chip, pin);
      open.set(pin, id);
      return id;
    };
    for (const [index, behaviour] of sectionsOf(chip.part.behaviour).entries()) {
      const bits = new Set(behaviour.storage.map(({ name }) => name));
      const compile = (expression: Expression) =>
        withoutIdle(
          folded(expression, (name) => {
            if (bits.has(name)) return name;
            const net = netOf(name);
            return nets[net]?.constant ?? String(net);
          }),
        );
      const { clockSource, memory } = behaviour;
      if (clockSource) {
        const out = nets[chip.nets.get(clockSource.pin)?.id ?? -1];
        if (out && chip === oscillator) out.isOscillator = true;
        continue;
      }
      if (memory) {
        for (const pin of memory.data) {
          const data = nets[chip.nets.get(pin)?.id ?? -1];
          if (data && data.constant === undefined) data.isUnknown = true;
        }
        memoryReads.push(compile(memory.read));
        const write = memory.write && compile(memory.write);
        if (write && constantOf(write) !== 0) memories.push({ chip, writing: writingOf(chip, write, nets) });
        continue;
      }
      const storage = behaviour.storage.map((bit): Storage => {
        const overrides = bit.overrides
          .map(({ when, value }) => ({ when: compile(when), value: compile(value) }))
          .filter(({ when }) => constantOf(when) !== 0);
        const common = { name: bit.name, next: compile(bit.next), overrides };
        return bit.kind === "register"
          ? { kind: "register", ...common, clock: compile(bit.clock) }
          : { kind: "latch", ...common, open: compile(bit.open) };
      });
      const reads = new Set<LogicNetId>();
      const outputs: LogicOutput[] = [];
      const section: LogicSection = { key: `${chip.ref} ${index}`, chip, storage, outputs, reads };
      for (const { pin, value, enable } of behaviour.outputs) {
        const net = nets[chip.nets.get(pin)?.id ?? -1];
        const when = enable && compile(enable);
        if (!net || (when && constantOf(when) === 0)) continue;
        const output: LogicOutput = {
          section,
          pin,
          net: net.id,
          value: compile(value),
          ...(when && constantOf(when) !== 1 && { enable: when }),
          delay: restingDelay(chip.part, pin),
        };
        outputs.push(output);
        net.drivers.push(output);
      }
      if (outputs.length === 0) continue;
      for (const expression of expressionsOf(section)) for (const name of namesOf(expression)) addNet(reads, name);
      sections.push(section);
      for (const id of reads) nets[id]?.readers.push(section);
    }
  }
  for (const net of nets.slice(0, circuit.nets.length)) {
    const isReset = net.input?.timing.kind === "power-up only";
    if (net.constant !== undefined || net.isOscillator || isReset) continue;
    if (net.drivers.length === 0 || net.input) net.isUnknown = true;
  }
  return {
    nets,
    sections,
    memories,
    memoryReads,
    resets: circuit.inputs.flatMap((input) =>
      input.timing.kind === "power-up only"
        ? [{ net: input.net, active: input.timing.active === "low" ? (0 as const) : (1 as const), input }]
        : [],
    ),
  };
}

/** Everything that a section reads. */
export function expressionsOf({ storage, outputs }: LogicSection): readonly Expression[] {
  return [
    ...storage.flatMap((bit) => [
      bit.kind === "register" ? bit.clock : bit.open,
      bit.next,
      ...bit.overrides.flatMap(({ when, value }) => [when, value]),
    ]),
    ...outputs.flatMap(({ value, enable }) => (enable ? [value, enable] : [value])),
  ];
}

/** The net that a name in compiled logic stands for; undefined for a storage bit. */
export function netNamed(name: string): LogicNetId | undefined {
  return /^\d/.test(name) ? Number(name) : undefined;
}

function writingOf(chip: Chip, write: Expression, nets: LogicNet[]): LogicSection {
  const net = nets.length;
  nets.push({ id: net, name: `write of ${chip.ref}`, isOscillator: false, drivers: [], readers: [], isUnknown: false });
  const reads = new Set<LogicNetId>();
  for (const name of namesOf(write)) addNet(reads, name);
  const outputs: LogicOutput[] = [];
  const section: LogicSection = { key: `${chip.ref} write`, chip, storage: [], outputs, reads };
  outputs.push({ section, pin: "", net, value: write, delay: 1 });
  return section;
}

function addNet(to: Set<LogicNetId>, name: string): void {
  const net = netNamed(name);
  if (net !== undefined) to.add(net);
}

function constantLevel({ rail, input, drivers }: Net, resets: "released" | "given"): 0 | 1 | undefined {
  if (rail) return rail === "high" ? 1 : 0;
  if (resets === "given" || input?.timing.kind !== "power-up only" || drivers.length > 0) return undefined;
  return input.timing.active === "low" ? 1 : 0;
}
