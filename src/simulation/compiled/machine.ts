import type { Chip, Circuit, NetId } from "../../circuit/circuit.js";
import { videoNets } from "../screen.js";
import { LOW, UNDRIVEN, UNKNOWN, type Value, HIGH } from "../value.js";
import { Clock } from "./clock.js";
import { type OscillatorChoice, chooseOscillators } from "./oscillators.js";
import { PlannedInputs } from "./planned-inputs.js";
import { type PowerUpOptions, restAtPowerUp } from "./power-up-state.js";
import { Recording } from "./recording.js";
import type { InputPlace } from "./round-inputs.js";
import { RoundRunner } from "./round-runner.js";
import { Plane } from "./signal-store.js";
import type { OutsideChange } from "./step-code.js";
import { type FoundDoubt, Stepper } from "./stepper.js";
import { Store } from "./store.js";
import { structureOf } from "./structure.js";

export interface MachineOptions extends PowerUpOptions {
  /** Of oscillators that are not to run at their nominal period, by chip. */
  readonly oscillators?: ReadonlyMap<string, OscillatorChoice>;
  /** Nets that `record` records; what a monitor sees when absent. */
  readonly recorded?: readonly NetId[];
  /**
   * Oscillator periods that are taken edge by edge before rounds are made, and again whenever inputs have changed for which
   * they were made. Infinity: rounds are never made. Making them takes some tenths of a second.
   */
  readonly roundsAfter?: number;
}

/** Periods that are taken edge by edge before rounds are made: long enough not to make them for a glance. */
const PERIODS_BEFORE_ROUNDS = 50_000;

/**
 * A circuit compiled to WebAssembly, without delays: after each edge of an oscillator and each change of an input everything
 * is at rest before the next. What cause and effect say about the order of changes is kept; where the outcome would hang on
 * delays nothing is picked: it is listed in `doubts`, and from there on unknown levels are followed until all are known again.
 */
export class Machine {
  /** Femtoseconds. */
  now = 0;
  readonly circuit: Circuit;
  private readonly store: Store;
  private readonly stepper: Stepper;
  private readonly clocks: readonly Clock[];
  private readonly runner: RoundRunner | undefined;
  private readonly planned = new PlannedInputs();
  private readonly recordedNets: readonly NetId[];
  private recording: Recording | undefined;
  private readonly roundsAfter: number;
  private periodsUntilRounds: number;

  constructor(circuit: Circuit, options: MachineOptions = {}) {
    this.circuit = circuit;
    const structure = structureOf(circuit);
    this.store = new Store(structure);
    this.stepper = new Stepper(this.store);
    this.clocks = chooseOscillators(structure, options.oscillators).map(
      ({ source, ...choice }) => new Clock(source, choice),
    );
    const [clock, another] = this.clocks;
    const canRound = clock && !another && !structure.sources[clock.source]?.oscillator?.enable;
    this.runner = canRound ? new RoundRunner(this.store, this.stepper, clock.source) : undefined;
    this.recordedNets = options.recorded ?? netsOfPicture(circuit);
    this.roundsAfter = options.roundsAfter ?? PERIODS_BEFORE_ROUNDS;
    this.periodsUntilRounds = this.roundsAfter;
    this.powerUp(options);
    this.stepper.look();
  }

  /** Single steps so far: oscillator edges and changes from outside; how many with unknown levels, and how many thoroughly. */
  get steps(): number {
    return this.stepper.steps;
  }

  get carefulSteps(): number {
    return this.stepper.carefulSteps;
  }

  get thoroughSteps(): number {
    return this.stepper.thoroughSteps;
  }

  /** Oscillator edges that were taken in rounds. */
  get edgesInRounds(): number {
    return this.runner?.taken ?? 0;
  }

  /** Where the outcome hung on delays so far; by place, in the order in which they came up. */
  get doubts(): readonly FoundDoubt[] {
    return this.stepper.doubts;
  }

  /** Whether unknown levels are being followed now. */
  get followsUnknown(): boolean {
    return !this.stepper.isPlain;
  }

  /** The value of a net. */
  valueOf(net: NetId): Value {
    this.runner?.leave();
    return this.store.valueOf(net);
  }

  /** What a storage bit holds, or an input pin sees. Undefined when the chip has no such pin or bit, or nothing hangs on it. */
  valueAt(chip: Chip, name: string): Value | undefined {
    const net = chip.nets.get(name);
    if (net) {
      const value = this.valueOf(net.id);
      return value === UNDRIVEN ? UNKNOWN : value;
    }
    this.runner?.leave();
    const bit = this.store.structure.bits.find((one) => one.chip === chip && one.storage.name === name);
    return bit && this.store.valueOf(bit.signal);
  }

  /** What a memory holds, from word 0 on; a copy. Unknown bits are as they happen to be. */
  contentsOf(chip: Chip): Uint8Array {
    return this.store.arrayOf(this.memoryOf(chip)).slice();
  }

  /** Sets an input from outside at a time not before now. Inputs that change at one moment change at once. */
  drive(net: NetId, time: number, value: Value): void {
    if (!(time >= this.now)) throw new RangeError(`${time} fs is before now, ${this.now} fs`);
    const source = this.store.structure.sourceOf(net);
    if (source === undefined) throw new RangeError(`${this.circuit.nets[net]?.name ?? net} is no input from outside`);
    this.planned.add({ time, source, value });
  }

  /** Writes that began at any port of a memory so far. */
  writesTo(chip: Chip): number {
    const { structure, writeCounts } = this.store;
    const ports = structure.memories[this.memoryOf(chip)]?.ports ?? [];
    return ports.reduce((sum, port) => sum + (writeCounts[port] ?? 0), 0);
  }

  /** Records what the machine's `recorded` nets do from now on, in place of what was recorded before. */
  record(): Recording {
    const nets = this.recordedNets;
    this.runner?.leave();
    const first = nets.map((net) => this.store.shown(net));
    const [clock] = this.clocks;
    this.recording = new Recording(nets, this.now, first, (edge) => clock?.timeOf(edge) ?? 0);
    return this.recording;
  }

  /** Takes all edges and changes up to and including `until`. */
  run(until: number): void {
    for (;;) {
      if (this.takeRounds(until)) continue;
      const next = this.nextTime();
      if (next > until) break;
      this.takeStep(next);
    }
    this.now = until;
  }

  /** Takes as many rounds as end before anything else happens; whether there were any. */
  private takeRounds(until: number): boolean {
    const { runner, stepper } = this;
    const [clock] = this.clocks;
    if (!runner || !clock || !stepper.isPlain || clock.nextEdge !== 0) return false;
    if (!runner.isValid) {
      if (this.periodsUntilRounds-- > 0) return false;
      this.periodsUntilRounds = this.roundsAfter;
      if (!runner.prepare(clock.edges, this.recordedNets)) {
        this.periodsUntilRounds = Infinity;
        return false;
      }
    }
    if (runner.untilRound(clock.edges) > 0) return false;
    const { edges = 1 } = runner;
    const next = this.planned.first?.time ?? Infinity;
    const count = Math.floor((clock.edgesUpTo(Math.min(until, next - 1)) - clock.edges) / edges);
    if (count > 0) return this.runRounds(count) > 0;
    return next <= until && this.takeInputsInRound(until);
  }

  /** Takes rounds; how many were taken. */
  private runRounds(count: number): number {
    const { runner } = this;
    const [clock] = this.clocks;
    if (!runner || !clock) return 0;
    const done = runner.run(clock.edges, count, this.recording);
    clock.edges += done * (runner.edges ?? 0);
    if (done > 0) this.now = clock.timeOf(clock.edges - 1);
    return done;
  }

  /** Takes the inputs that change next, in the coming round, as it begins or ends, if all is the same as at their time. */
  private takeInputsInRound(until: number): boolean {
    const { runner, planned } = this;
    const [clock] = this.clocks;
    const next = planned.first?.time;
    if (!runner || !clock || next === undefined) return false;
    const place = this.placeOfInputs(next);
    if (place === "begin") return this.takeInputsBetween(next);
    if (place === "exact") return this.takeInputsBetween(next, true);
    const end = clock.timeOf(clock.edges + (runner.edges ?? 0) - 1);
    const times = planned.timesUpTo(end);
    if (end > until || times.some((time) => this.placeOfInputs(time) !== "end")) {
      return this.takeInputsBetween(next, true);
    }
    if (this.runRounds(1) === 0) return false;
    for (const time of times) if (!this.takeInputsBetween(time)) this.takeStep(time);
    return true;
  }

  /** Where in the coming round the inputs may be taken that change at this time. */
  private placeOfInputs(time: number): InputPlace {
    const { runner, planned } = this;
    const [clock] = this.clocks;
    if (!runner || !clock) return "exact";
    const before = clock.edgesUpTo(time - 1);
    const inputs = planned.at(time);
    if (clock.timeOf(before) === time || inputs.some(({ value }) => value > HIGH)) return "exact";
    return runner.placeOfInputs(
      before - clock.edges,
      inputs.map(({ source }) => source),
    );
  }

  /** Takes the next inputs between rounds, unless that leaves anything in doubt, or has an effect where it may have none. */
  private takeInputsBetween(time: number, onlyWithoutEffect = false): boolean {
    const { runner, planned, store } = this;
    const [clock] = this.clocks;
    if (!runner || !clock) return false;
    const changes = planned.at(time);
    if (
      onlyWithoutEffect &&
      (changes.some(({ value }) => value > HIGH) || clock.timeOf(clock.edgesUpTo(time - 1)) === time)
    ) {
      return false;
    }
    const inputs = changes.map(({ source, value }) => {
      return { signal: store.structure.sources[source]?.signal ?? 0, value };
    });
    runner.enterAt(clock.edges);
    for (const { signal, value } of inputs) store.set(signal, Plane.nextValue, value);
    const isSure = onlyWithoutEffect ? runner.haveNoEffect(changes.map(({ source }) => source)) : runner.takeInputs();
    for (const { signal } of inputs) {
      if (isSure) store.set(signal, Plane.value, store.at(signal, Plane.nextValue));
      else store.set(signal, Plane.nextValue, store.at(signal, Plane.value));
    }
    if (isSure) planned.drop(inputs.length);
    return isSure;
  }

  private takeStep(time: number): void {
    this.runner?.leave();
    this.now = Math.max(this.now, time);
    const changes = this.changesAt(time);
    this.stepper.step(changes, time);
    this.recording?.look(time, (net) => this.store.shown(net));
  }

  private nextTime(): number {
    let next = this.planned.first?.time ?? Infinity;
    for (const clock of this.clocks) next = Math.min(next, clock.nextTime);
    return next;
  }

  /** What happens at this moment; inputs' new levels go to the store. */
  private changesAt(time: number): OutsideChange[] {
    const changes: OutsideChange[] = [];
    for (const clock of this.clocks) {
      if (clock.nextTime !== time) continue;
      changes.push({ source: clock.source, edge: clock.nextEdge });
      clock.edges++;
    }
    const { planned, store } = this;
    if (planned.first?.time !== time) return changes;
    changes.push({ inputs: true });
    store.copyToNext();
    const inputs = planned.at(time);
    for (const { source, value } of inputs) store.putNext(store.structure.sources[source]?.signal ?? 0, value);
    if (inputs.some(({ value }) => value > HIGH)) this.stepper.followUnknown();
    planned.drop(inputs.length);
    return changes;
  }

  private memoryOf(chip: Chip): number {
    const memory = this.store.structure.memories.findIndex((one) => one.chip === chip);
    if (memory < 0) throw new RangeError(`${chip.ref} is no memory`);
    return memory;
  }

  private powerUp(options: MachineOptions): void {
    const { store } = this;
    const { structure } = store;
    const timed = restAtPowerUp(this.circuit, options);
    for (let net = 0; net < structure.netCount; net++) store.putValue(net, timed.valueOf(net as NetId));
    for (const { signal, chip, storage } of structure.bits) {
      store.putValue(signal, timed.valueAt(chip, storage.name) ?? UNKNOWN);
    }
    for (const { signal, net, oscillator } of structure.sources) {
      store.putValue(signal, oscillator ? LOW : (options.inputs?.get(net.id) ?? LOW));
    }
    structure.memories.forEach(({ chip, wordBits }, memory) => {
      const state = timed.memories.find(({ ref }) => ref === chip.ref);
      if (!state) return;
      store.arrayOf(memory).set(state.contents);
      store.unknownOf(memory).set(state.unknown.map((bits) => bits & (2 ** wordBits - 1)));
    });
  }
}

/** The nets that go to the monitor, each once. */
function netsOfPicture({ picture }: Circuit): readonly NetId[] {
  return picture ? [...new Set([picture.hsync, picture.vsync, ...videoNets(picture)])] : [];
}
