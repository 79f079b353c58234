import type { Chip, Circuit, NetId } from "../../circuit/circuit.js";
import { type OscillatorChoice, chooseOscillators } from "./oscillators.js";
import { CarefulMemory } from "./careful-memory.js";
import { CauseGraph } from "./causes.js";
import { type Layout, layoutOf } from "./layout.js";
import { ONE, ZERO } from "./level.js";
import { type PowerUpOptions, restAtPowerUp } from "./power-up-state.js";
import { Plane, type Vagueness, vaguenessOf } from "./signal-store.js";
import { type OutsideChange, compileStep, movesOf } from "./step-code.js";
import { StepPlan } from "./step.js";
import type { Doubt, DoubtKind } from "./step-view.js";
import { type Signal, type Structure, structureOf } from "./structure.js";
import { TRUE } from "./bit-graph.js";
import { type SignalBytes, levelOfBytes, stepThoroughly } from "./thorough-step.js";
import { HIGH, LOW, UNDRIVEN, UNKNOWN, type Value } from "../value.js";
import { ModuleWriter } from "./wasm-writer.js";
import { type WasmFunction, type WasmMemory, instantiate, newMemory } from "./web-assembly.js";

export interface MachineOptions extends PowerUpOptions {
  /** Of oscillators that are not to run at their nominal period, by chip. */
  readonly oscillators?: ReadonlyMap<string, OscillatorChoice>;
}

/** A place where the outcome hung on delays, and how often. */
export interface FoundDoubt {
  readonly kind: DoubtKind;
  readonly place: string;
  readonly nets: readonly string[];
  /** Femtoseconds. */
  readonly firstAt: number;
  count: number;
}

interface StepFunctions {
  readonly plan: StepPlan;
  readonly plain: WasmFunction;
  readonly careful: WasmFunction;
}

interface PlannedInput {
  readonly time: number;
  readonly source: number;
  readonly value: Value;
}

/**
 * A circuit compiled to WebAssembly, without delays: after each edge of an oscillator and each change of an input everything
 * is at rest before the next. What cause and effect say about the order of changes is kept; where the outcome would hang on
 * delays nothing is picked: it is listed in `doubts`, and from there on unknown levels are followed until all are known again.
 */
export class Machine {
  /** Femtoseconds. */
  now = 0;
  /** Steps worked out so far; how many of them with unknown levels, and how many thoroughly. */
  steps = 0;
  carefulSteps = 0;
  thoroughSteps = 0;
  readonly circuit: Circuit;
  readonly structure: Structure;
  private readonly causes: CauseGraph;
  private readonly layout: Layout;
  private readonly vagueness: Vagueness;
  private readonly memory: WasmMemory;
  private readonly careful: CarefulMemory;
  private readonly clocks: readonly Clock[];
  private readonly functions = new Map<string, StepFunctions>();
  private readonly found = new Map<string, FoundDoubt>();
  private readonly signals: SignalBytes;
  private bytes: Uint8Array;
  private planned: PlannedInput[] = [];
  private isPlain: boolean;
  private untilCheck = 0;

  constructor(circuit: Circuit, options: MachineOptions = {}) {
    this.circuit = circuit;
    this.structure = structureOf(circuit);
    this.causes = new CauseGraph(this.structure);
    this.layout = layoutOf(this.structure);
    this.vagueness = vaguenessOf(this.structure);
    this.memory = newMemory(this.layout.end);
    this.bytes = new Uint8Array(this.memory.buffer);
    this.careful = new CarefulMemory(this.structure, this.layout, () => this.bytes);
    this.clocks = chooseOscillators(this.structure, options.oscillators).map(
      (choice) => new Clock(choice.source, choice),
    );
    this.signals = this.signalBytes();
    this.powerUp(options);
    this.isPlain = this.isAllKnown();
  }

  /** Where the outcome hung on delays so far; by place, in the order in which they came up. */
  get doubts(): readonly FoundDoubt[] {
    return [...this.found.values()];
  }

  /** Whether unknown levels are being followed now. */
  get followsUnknown(): boolean {
    return !this.isPlain;
  }

  /** The value of a net. */
  valueOf(net: NetId): Value {
    const rail = this.circuit.nets[net]?.rail;
    if (rail) return rail === "high" ? HIGH : LOW;
    return this.valueAtSignal(net, this.structure.isShared(net));
  }

  /** What a storage bit holds, or an input pin sees. Undefined when the chip has no such pin or bit, or nothing hangs on it. */
  valueAt(chip: Chip, name: string): Value | undefined {
    const net = chip.nets.get(name);
    if (net) {
      const value = this.valueOf(net.id);
      return value === UNDRIVEN ? UNKNOWN : value;
    }
    const bit = this.structure.bits.find((one) => one.chip === chip && one.storage.name === name);
    return bit && this.valueAtSignal(bit.signal, false);
  }

  /** What a memory holds, from word 0 on; a copy. Unknown bits are as they happen to be. */
  contentsOf(chip: Chip): Uint8Array {
    const memory = this.structure.memories.findIndex((one) => one.chip === chip);
    if (memory < 0) throw new RangeError(`${chip.ref} is no memory`);
    const at = this.layout.arrayAt[memory] ?? 0;
    return this.bytes.slice(at, at + (this.layout.arrayBytes[memory] ?? 0));
  }

  /** Sets an input from outside at a time not before now. Inputs that change at one moment change at once. */
  drive(net: NetId, time: number, value: Value): void {
    if (!(time >= this.now)) throw new RangeError(`${time} fs is before now, ${this.now} fs`);
    const source = this.structure.sourceOf(net);
    if (source === undefined) throw new RangeError(`${this.circuit.nets[net]?.name ?? net} is no input from outside`);
    let place = this.planned.length;
    while (place > 0 && (this.planned[place - 1]?.time ?? 0) > time) place--;
    this.planned.splice(place, 0, { time, source, value });
  }

  /** Takes all edges and changes up to and including `until`. */
  run(until: number): void {
    for (;;) {
      const next = this.nextTime();
      if (next > until) break;
      this.now = next;
      this.step(this.changesAt(next));
    }
    this.now = until;
  }

  private nextTime(): number {
    let next = this.planned[0]?.time ?? Infinity;
    for (const clock of this.clocks) next = Math.min(next, clock.nextTime);
    return next;
  }

  /** What happens at this moment; inputs' new levels go to the store. */
  private changesAt(time: number): OutsideChange[] {
    const changes: OutsideChange[] = [];
    for (const clock of this.clocks) {
      if (clock.nextTime !== time) continue;
      changes.push({ source: clock.source, edge: clock.nextEdge });
      clock.advance();
    }
    if (this.planned[0]?.time === time) {
      changes.push({ inputs: true });
      this.copyPlane(Plane.value, Plane.nextValue);
      this.copyPlane(Plane.known, Plane.nextKnown);
      this.copyPlane(Plane.driven, Plane.nextDriven);
      for (let input = this.planned[0]; input?.time === time; input = this.planned[0]) {
        this.planned.shift();
        this.putInput(input);
      }
    }
    return changes;
  }

  private putInput({ source, value }: PlannedInput): void {
    const signal = this.structure.sources[source]?.signal ?? 0;
    this.bytes[this.place(signal, Plane.nextValue)] = value === HIGH ? 1 : 0;
    this.bytes[this.place(signal, Plane.nextKnown)] = value <= HIGH ? 1 : 0;
    this.bytes[this.place(signal, Plane.nextDriven)] = value === UNDRIVEN ? 0 : 1;
    if (value > HIGH) this.isPlain = false;
  }

  private step(changes: readonly OutsideChange[]): void {
    const { plan, plain, careful } = this.functionsFor(changes);
    this.steps++;
    if (this.isPlain) {
      if (plain() === 0) return;
      this.isPlain = false;
      this.untilCheck = 0;
      this.stepThoroughly(plan, changes);
    } else {
      this.carefulSteps++;
      this.careful.mark();
      if (careful() !== 0) {
        this.careful.takeBack();
        this.stepThoroughly(plan, changes);
      }
    }
    if (--this.untilCheck > 0) return;
    this.isPlain = this.isAllKnown();
    this.untilCheck = STEPS_BETWEEN_CHECKS;
  }

  private stepThoroughly(plan: StepPlan, changes: readonly OutsideChange[]): void {
    this.thoroughSteps++;
    const { doubts, begins } = stepThoroughly(plan, changes, this.signals, this.careful);
    for (const doubt of doubts) this.noteDoubt(doubt);
    const counts = new Uint32Array(this.memory.buffer, this.layout.writeCounts, this.structure.ports.length);
    begins.forEach((bits, memory) => {
      bits.forEach((begins, index) => {
        const port = this.structure.memories[memory]?.ports[index] ?? 0;
        counts[port] = (counts[port] ?? 0) + begins;
      });
    });
  }

  private noteDoubt({ kind, place, nets }: Doubt): void {
    const key = `${kind} ${place}`;
    const known = this.found.get(key);
    if (known) known.count++;
    else this.found.set(key, { kind, place, nets, firstAt: this.now, count: 1 });
  }

  private functionsFor(changes: readonly OutsideChange[]): StepFunctions {
    const key = changes.map((change) => ("source" in change ? `${change.source} ${change.edge}` : "inputs")).join(", ");
    const known = this.functions.get(key);
    if (known) return known;
    const writer = new ModuleWriter();
    const read = writer.import("read", 3);
    const write = writer.import("write", 7);
    const plan = new StepPlan(this.causes, movesOf(this.structure, changes));
    const plain = compileStep(plan, this.layout, changes, { kind: "plain", vagueness: this.vagueness });
    const careful = compileStep(plan, this.layout, changes, { kind: "careful", read, write });
    writer.add(plain, "plain");
    writer.add(careful, "careful");
    const exported = instantiate(writer.toBytes(), {
      host: {
        memory: this.memory,
        read: this.careful.read.bind(this.careful),
        write: this.careful.write.bind(this.careful),
      },
    });
    const made = { plan, plain: functionOf(exported, "plain"), careful: functionOf(exported, "careful") };
    this.functions.set(key, made);
    return made;
  }

  private powerUp(options: MachineOptions): void {
    const { structure, layout } = this;
    const timed = restAtPowerUp(this.circuit, options);
    for (let net = 0; net < structure.netCount; net++) this.put(net, timed.valueOf(net as NetId));
    for (const { signal, chip, storage } of structure.bits) {
      this.put(signal, timed.valueAt(chip, storage.name) ?? UNKNOWN);
    }
    for (const { signal, net, oscillator } of structure.sources) {
      this.put(signal, oscillator ? LOW : (options.inputs?.get(net.id) ?? LOW));
    }
    structure.memories.forEach(({ chip }, memory) => {
      const state = timed.memories.find(({ ref }) => ref === chip.ref);
      if (!state) return;
      this.bytes.set(state.contents, layout.arrayAt[memory]);
      const wordMask = 2 ** (structure.memories[memory]?.wordBits ?? 8) - 1;
      this.bytes.set(
        state.unknown.map((bits) => bits & wordMask),
        layout.unknownAt[memory],
      );
    });
  }

  private signalBytes(): SignalBytes {
    const at = (signal: Signal, plane: number) => this.bytes[this.place(signal, plane)] ?? 0;
    const read = (signal: Signal, value: number, known: number, driven: number) => ({
      level: levelOfBytes(at(signal, value), at(signal, known)),
      driven: at(signal, driven),
    });
    return {
      get: (signal) => {
        const rail = this.circuit.nets[signal]?.rail;
        if (rail) return { level: rail === "high" ? ONE : ZERO, driven: TRUE };
        return read(signal, Plane.value, Plane.known, Plane.driven);
      },
      next: (signal) => read(signal, Plane.nextValue, Plane.nextKnown, Plane.nextDriven),
      put: (signal, { value, known }, driven) => {
        this.bytes[this.place(signal, Plane.value)] = value;
        this.bytes[this.place(signal, Plane.known)] = known;
        this.bytes[this.place(signal, Plane.driven)] = driven;
      },
    };
  }

  private put(signal: Signal, value: Value): void {
    this.bytes[this.place(signal, Plane.value)] = value === HIGH ? 1 : 0;
    this.bytes[this.place(signal, Plane.known)] = value <= HIGH ? 1 : 0;
    this.bytes[this.place(signal, Plane.driven)] = value === UNDRIVEN ? 0 : 1;
  }

  private valueAtSignal(signal: Signal, isShared: boolean): Value {
    const at = (plane: number) => this.bytes[this.place(signal, plane)] ?? 0;
    if (isShared && at(Plane.driven) === 0) return UNDRIVEN;
    return at(Plane.known) === 0 ? UNKNOWN : at(Plane.value) === 1 ? HIGH : LOW;
  }

  /** Whether nothing is unknown but what may be while the machine runs plainly. */
  private isAllKnown(): boolean {
    const { structure, vagueness, layout } = this;
    const firstPin = structure.netCount + structure.bits.length + structure.sources.length;
    for (let signal = 0; signal < firstPin; signal++) {
      if (this.circuit.nets[signal]?.rail || vagueness.mayBeUnknown(signal)) continue;
      if (this.bytes[this.place(signal, Plane.known)] === 0) return false;
    }
    for (const { signal, oscillator } of structure.sources) {
      if (!oscillator && this.bytes[this.place(signal, Plane.driven)] === 0) return false;
    }
    return layout.unknownAt.every((at, memory) =>
      this.bytes.subarray(at, at + (layout.arrayBytes[memory] ?? 0)).every((byte) => byte === 0),
    );
  }

  private copyPlane(from: number, to: number): void {
    const { signals } = this.layout;
    const count = this.structure.signalCount;
    this.bytes.copyWithin(signals + to * count, signals + from * count, signals + (from + 1) * count);
  }

  private place(signal: Signal, plane: number): number {
    return this.layout.signals + plane * this.structure.signalCount + signal;
  }
}

/** How many steps pass until it is looked again whether all is known: the look takes about as long as some steps. */
const STEPS_BETWEEN_CHECKS = 64;

function functionOf(exported: Readonly<Record<string, WasmFunction>>, name: string): WasmFunction {
  const found = exported[name];
  if (!found) throw new RangeError(`the module exports no ${name}`);
  return found;
}

/** One oscillator in time. Edge `n` comes at a whole number of periods from the first, so nothing adds up. */
class Clock {
  readonly source: number;
  private readonly choice: OscillatorChoice;
  private edges = 0;

  constructor(source: number, choice: OscillatorChoice) {
    this.source = source;
    this.choice = choice;
  }

  get nextTime(): number {
    const { start, period, high } = this.choice;
    return start + (this.edges >> 1) * period + (this.edges & 1 ? high : 0);
  }

  get nextEdge(): 0 | 1 {
    return (this.edges & 1) as 0 | 1;
  }

  advance(): void {
    this.edges++;
  }
}
