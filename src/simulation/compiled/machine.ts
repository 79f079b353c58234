import type { Chip, Circuit, NetId } from "../../circuit/circuit.js";
import { videoNets } from "../screen.js";
import { LOW, UNDRIVEN, UNKNOWN, type Value, HIGH } from "../value.js";
import { type OscillatorChoice, chooseOscillators } from "./oscillators.js";
import { type PowerUpOptions, restAtPowerUp } from "./power-up-state.js";
import { Recording } from "./recording.js";
import { RoundRunner } from "./round-runner.js";
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

interface PlannedInput {
  readonly time: number;
  readonly source: number;
  readonly value: Value;
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
  private planned: PlannedInput[] = [];
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
    let place = this.planned.length;
    while (place > 0 && (this.planned[place - 1]?.time ?? 0) > time) place--;
    this.planned.splice(place, 0, { time, source, value });
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
    const first = nets.map((net) => (this.valueOf(net) === HIGH ? 1 : 0));
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
      this.now = next;
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
    const planned = this.planned[0]?.time ?? Infinity;
    const { edges = 1 } = runner;
    const last = Math.min(clock.edgesUpTo(until), planned === Infinity ? Infinity : clock.edgesUpTo(planned - 1));
    const count = Math.floor((last - clock.edges) / edges);
    if (count <= 0) return false;
    const done = runner.run(clock.edges, count, this.recording);
    if (done === 0) return false;
    clock.edges += done * edges;
    this.now = clock.timeOf(clock.edges - 1);
    return true;
  }

  private takeStep(time: number): void {
    this.runner?.leave();
    const changes = this.changesAt(time);
    const { recording, store } = this;
    const before = recording?.nets.map((net) => store.valueOf(net));
    this.stepper.step(changes, time);
    recording?.nets.forEach((net, index) => {
      const value = store.valueOf(net);
      if (value !== before?.[index]) recording.addChange(time, net, value === HIGH ? 1 : 0);
    });
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
      clock.edges++;
    }
    if (this.planned[0]?.time !== time) return changes;
    changes.push({ inputs: true });
    this.store.copyToNext();
    let isKnown = true;
    for (let input = this.planned[0]; input?.time === time; input = this.planned[0]) {
      this.planned.shift();
      this.store.putNext(this.store.structure.sources[input.source]?.signal ?? 0, input.value);
      isKnown &&= input.value <= HIGH;
    }
    if (!isKnown) this.stepper.followUnknown();
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

/** One oscillator in time. Edge `n` comes at a whole number of periods from the first, so nothing adds up. */
class Clock {
  readonly source: number;
  /** Edges that have come. */
  edges = 0;
  private readonly choice: OscillatorChoice;

  constructor(source: number, choice: OscillatorChoice) {
    this.source = source;
    this.choice = choice;
  }

  timeOf(edge: number): number {
    const { start, period, high } = this.choice;
    return start + Math.floor(edge / 2) * period + (edge % 2 === 1 ? high : 0);
  }

  get nextTime(): number {
    return this.timeOf(this.edges);
  }

  get nextEdge(): 0 | 1 {
    return (this.edges & 1) as 0 | 1;
  }

  /** Edges that have come at this time, those at it included. */
  edgesUpTo(time: number): number {
    const { start, period, high } = this.choice;
    if (time < start) return 0;
    const periods = Math.floor((time - start) / period);
    return 2 * periods + (time - start - periods * period >= high ? 2 : 1);
  }
}
