import type { Chip, Circuit, NetId } from "../../circuit/circuit.js";
import { videoNets } from "../screen.js";
import { LOW, UNDRIVEN, UNKNOWN, type Value, HIGH } from "../value.js";
import { WrongState } from "../simulator-state.js";
import { Clock } from "./clock.js";
import type { MachineState } from "./machine-state.js";
import { type OscillatorChoice, chooseOscillators } from "./oscillators.js";
import { OutsideWorld } from "./outside-world.js";
import { PlannedInputs } from "./planned-inputs.js";
import { type PowerUpOptions, restAtPowerUp } from "./power-up-state.js";
import { type EdgeTimes, Recording } from "./recording.js";
import { RoundPilot } from "./round-pilot.js";
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
  /**
   * Steps that may be worked out thoroughly, in every order that is open, before `run` throws TooMuchOpen: each takes up to a
   * millisecond. More of them are borne with where they are rare. Any number when absent.
   */
  readonly mostThorough?: number;
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
  private readonly pilot: RoundPilot | undefined;
  /** What plays at the inputs; see `InputPlayer`. */
  readonly outside: OutsideWorld;
  private readonly planned = new PlannedInputs();
  private readonly recordedNets: readonly NetId[];
  private recording: Recording | undefined;
  private readonly roundsAfter: number;
  private periodsUntilRounds: number;

  constructor(circuit: Circuit, options: MachineOptions = {}) {
    this.circuit = circuit;
    const structure = structureOf(circuit);
    this.store = new Store(structure);
    this.outside = new OutsideWorld(this.planned, structure.sourceOf);
    this.stepper = new Stepper(this.store, options.mostThorough ?? Infinity);
    this.clocks = chooseOscillators(structure, options.oscillators).map(
      ({ source, ...choice }) => new Clock(source, choice),
    );
    const [clock, another] = this.clocks;
    const canRound = clock && !another && !structure.sources[clock.source]?.oscillator?.enable;
    this.runner = canRound ? new RoundRunner(this.store, this.stepper, clock.source) : undefined;
    this.pilot =
      clock &&
      this.runner &&
      new RoundPilot({
        store: this.store,
        clock,
        planned: this.planned,
        runner: this.runner,
        recording: () => this.recording,
        observed: () => this.outside.observed,
        step: (time) => this.takeStep(time),
      });
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

  /** What came up so far is of no interest. */
  forgetDoubts(): void {
    this.stepper.forgetDoubts();
  }

  /** Of the first oscillator, in femtoseconds; 0 where there is none. */
  get period(): number {
    return this.clocks[0]?.period ?? 0;
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
    this.planned.add(time, source, value);
  }

  /** Which bits of a memory's words are unknown; a copy. */
  unknownOf(chip: Chip): Uint8Array {
    return this.store.unknownOf(this.memoryOf(chip)).slice();
  }

  /** Puts bytes into a memory, from an address on; what it gives out follows. Throws RangeError where they do not fit. */
  load(chip: Chip, bytes: Uint8Array, address = 0): void {
    const memory = this.memoryOf(chip);
    this.runner?.leave();
    const size = this.store.arrayOf(memory).length;
    if (address + bytes.length > size) {
      throw new RangeError(`${chip.ref} holds ${size} bytes; ${bytes.length} from ${address} on do not fit`);
    }
    this.store.arrayOf(memory).set(bytes, address);
    this.store.unknownOf(memory).fill(0, address, address + bytes.length);
    this.stepper.settle();
  }

  /** All that the machine holds now. What is recorded is not part of it. */
  save(): MachineState {
    this.runner?.leave();
    return {
      now: this.now,
      bytes: this.store.copy(),
      edges: this.clocks.map(({ edges }) => edges),
      planned: this.planned.all,
      doubts: this.doubts,
    };
  }

  /** Goes on from a state of a machine of the same circuit. Throws WrongState where it is another's. */
  restore(state: MachineState): void {
    const { sources } = this.store.structure;
    const isMine = state.edges.length === this.clocks.length && state.planned.every(({ source }) => source in sources);
    if (!isMine) throw new WrongState();
    this.runner?.leave();
    this.store.paste(state.bytes);
    this.now = state.now;
    this.clocks.forEach((clock, index) => (clock.edges = state.edges[index] ?? 0));
    this.planned.replace(state.planned);
    this.stepper.restore(state.doubts);
    this.recording = undefined;
    this.runner?.lose();
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
    const [clock] = this.clocks;
    this.recording = new Recording(nets, this.now, (track) => this.store.recorded(track), clock ?? NO_EDGES);
    return this.recording;
  }

  /** Records no more. */
  stopRecording(): void {
    this.recording = undefined;
  }

  /** Takes all edges and changes up to and including `until`. */
  run(until: number): void {
    this.outside.goOnUpTo(until);
    for (;;) {
      if (this.takeRounds(until)) continue;
      const next = this.nextTime();
      if (next > until) break;
      this.takeStep(next);
      this.outside.goOnUpTo(until);
    }
    this.now = until;
  }

  /** Takes as many rounds as end before anything else happens; whether there were any. */
  private takeRounds(until: number): boolean {
    const { runner, stepper } = this;
    const [clock] = this.clocks;
    if (!runner || !clock || !stepper.isPlain || clock.nextEdge !== 0) return false;
    if (!runner.isValid) {
      if (runner.find(clock.edges)) return true;
      if (this.periodsUntilRounds-- > 0) return false;
      this.periodsUntilRounds = this.roundsAfter;
      if (!runner.prepare(clock.edges, this.recordedNets)) {
        this.periodsUntilRounds = Infinity;
        return false;
      }
    }
    if (runner.untilRound(clock.edges) > 0 || !this.pilot?.advance(until)) return false;
    this.now = Math.max(this.now, clock.timeOf(clock.edges - 1));
    return true;
  }

  private takeStep(time: number): void {
    this.runner?.leave();
    this.now = Math.max(this.now, time);
    const changes = this.changesAt(time);
    const observed = [...this.outside.observed];
    const before = observed.map((net) => this.store.valueOf(net));
    this.stepper.step(changes, time);
    observed.forEach((net, index) => {
      const value = this.store.valueOf(net);
      if (value !== before[index]) this.outside.hear(net, this.now, value);
    });
    this.recording?.look(time, (track) => this.store.recorded(track));
  }

  private nextTime(): number {
    let next = this.planned.nextTime;
    for (const clock of this.clocks) next = Math.min(next, clock.nextTime);
    return next;
  }

  /** What happens at this moment; inputs' new levels go to the store. */
  private changesAt(time: number): OutsideChange[] {
    const changes: OutsideChange[] = [];
    for (const clock of this.clocks) {
      if (clock.nextTime !== time) continue;
      changes.push(clock.nextChange);
      clock.edges++;
    }
    const { planned, store } = this;
    if (planned.nextTime !== time) return changes;
    changes.push(INPUTS);
    store.copyToNext();
    const end = planned.endOf(planned.next);
    for (let place = planned.next; place < end; place++) {
      const value = planned.value[place] ?? LOW;
      store.putNext(store.structure.sources[planned.source[place] ?? 0]?.signal ?? 0, value);
      if (value > HIGH) this.stepper.followUnknown();
    }
    planned.dropUpTo(end);
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

const NO_EDGES: EdgeTimes = { timeOf: () => Infinity, edgesUpTo: () => 0, period: 1, high: 1 };
const INPUTS: OutsideChange = { inputs: true };

/** The nets that go to the monitor, each once. */
function netsOfPicture({ picture }: Circuit): readonly NetId[] {
  return picture ? [...new Set([picture.hsync, picture.vsync, ...videoNets(picture)])] : [];
}
