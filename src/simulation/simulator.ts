import type { Chip, NetId } from "../circuit/circuit.js";
import type { Fs } from "../quantity/index.js";
import { bundleWires } from "./bundles.js";
import type { ChosenDelays, OscillatorChoice, StandIn } from "./choice.js";
import { Contentions } from "./contention.js";
import { ChipInsides } from "./inside.js";
import type { MemoryState } from "./memory-state.js";
import { PendingChanges } from "./pending.js";
import { type PowerUp, levelOnNet, settleAtPowerUp } from "./power-up.js";
import { EventQueue } from "./queue.js";
import { firstDriven, loadMemories } from "./first-levels.js";
import { type HeldParts, type SimulatorState, restoreState, saveState } from "./simulator-state.js";
import type { Tables } from "./tables.js";
import { HIGH, LOW, UNDRIVEN, UNKNOWN, VALUE, type Value, received, resolve } from "./value.js";

export interface SimulatorOptions {
  /** What storage holds at first; "unknown" when absent. */
  readonly powerUp?: PowerUp;
  /** First values of inputs from outside; low when absent. */
  readonly inputs?: ReadonlyMap<NetId, Value>;
  /** Contents of memories by chip; what is not given is unknown. At most as long as the memory. */
  readonly contents?: ReadonlyMap<Chip, Uint8Array>;
  /** Marks every bit that a memory gives out, and follows it; see `provenance.ts`. Slower. */
  readonly marks?: boolean;
}

/** Called when a net takes another value or mark. `word` is as `value.ts` says. */
export type NetObserver = (time: Fs, word: number) => void;

/** Called when a driver of the tables takes another value or mark at its pin. */
export type DriverObserver = (time: Fs, word: number) => void;

/** Called when an input pin (a variable of the tables) has changed, before its chip acts on it. Words as in `value.ts`. */
export type PinObserver = (pin: number, time: Fs, before: number, after: number) => void;

/** Gates that feed each other while next to no time passes, so that the simulation would not come to an end. */
export class NoProgress extends Error {}

/**
 * The timed simulation of one board: events in whole femtoseconds, every change at its exact time.
 *
 * The rule, the same in every engine: when a change at an input pin changes what an output pin should show, the output
 * follows after the delay of the arc from that pin and edge to that pin and change; see `PendingChanges` for pulses, and
 * `ChipInsides` for storage, which acts at the moment of the input's change. Changes at one moment are taken in the order in
 * which they were caused.
 *
 * Contract of the inner loop (`run` and all that it calls): arrays are allocated before, an event allocates nothing, and
 * indices come from the tables and are in range, so array reads are asserted to be numbers.
 */
export class Simulator {
  /** Femtoseconds. */
  now = 0;
  /** Changes at output pins, those of clocks and from outside included. */
  outputChanges = 0;
  /** Changes at input pins. */
  arrivals = 0;
  readonly tables: Tables;
  readonly memories: readonly MemoryState[];
  readonly contentions: Contentions;

  private readonly queue = new EventQueue();
  private readonly pending: PendingChanges;
  private readonly insides: ChipInsides;
  private readonly words: Int32Array; // of variables: what pins see, what storage holds
  private readonly driven: Int32Array; // of drivers: the value at the pin
  private readonly driverNet: Int32Array;
  private readonly netWork: Uint8Array; // of nets: what a change sets going
  private readonly netWord: Int32Array; // of nets: the value, kept up for observed ones
  private readonly wireOrder: Int32Array; // wires by driver, then delay
  private readonly wireReceiver: Int32Array;
  private readonly wireShared: Uint8Array; // of wires: its net has several drivers
  private readonly wireWord: Int32Array; // of such wires: what comes out at their end
  private readonly bundleStart: Int32Array; // of bundles of wires with one delay: where in `wireOrder`
  private readonly bundleDelay: Float64Array;
  private readonly firstBundle: Int32Array; // of drivers, and one more
  private readonly clocks: readonly ClockState[];
  private readonly netObservers = new Map<number, NetObserver[]>();
  private readonly driverObservers = new Map<number, DriverObserver[]>();
  private readonly pinObserved: Uint8Array;
  private pinObserver: PinObserver | undefined;
  private readonly timers: ((() => void) | undefined)[] = [];
  private readonly freeTimers: number[] = [];
  private readonly firstClock: number; // targets of events: drivers, then bundles, then clocks, then outside, then timers
  private readonly firstOutside: number;
  private readonly firstTimer: number;

  constructor(tables: Tables, delays: ChosenDelays, options: SimulatorOptions = {}) {
    const { circuit, drivers, variables, wires } = tables;
    this.tables = tables;
    this.words = new Int32Array(variables.length).fill(UNKNOWN);
    this.driven = firstDriven(tables, options.inputs ?? new Map());
    this.driverNet = Int32Array.from(drivers, ({ net }) => net.id);
    const { start } = tables.driversOfNet;
    this.netWork = Uint8Array.from(circuit.nets, ({ id }) =>
      (start[id + 1] ?? 0) - (start[id] ?? 0) > 1 ? NET_SHARED : 0,
    );
    const bundles = bundleWires(tables, delays.wires);
    this.wireOrder = bundles.order;
    this.bundleStart = bundles.start;
    this.bundleDelay = bundles.delay;
    this.firstBundle = bundles.firstOfDriver;
    this.wireReceiver = Int32Array.from(wires, ({ receiver }) => receiver);
    this.wireShared = Uint8Array.from(wires, ({ driver }) => this.netWork[this.driverNet[driver] ?? 0] ?? 0);
    this.pinObserved = new Uint8Array(variables.length);
    this.clocks = [...delays.oscillators].map(([driver, choice]) => ({
      driver,
      choice,
      enable: tables.clockEnables.get(driver) ?? -1,
    }));
    this.firstClock = drivers.length + this.bundleDelay.length;
    this.firstOutside = this.firstClock + this.clocks.length;
    this.firstTimer = this.firstOutside + drivers.length;
    this.memories = loadMemories(tables, this.words, options);

    settleAtPowerUp(
      { tables, words: this.words, driven: this.driven, memories: this.memories },
      options.powerUp ?? "unknown",
    );
    this.wireWord = Int32Array.from(wires, ({ driver }) => this.driven[driver] ?? UNKNOWN);
    this.netWord = Int32Array.from(circuit.nets, ({ id }) => levelOnNet(tables, this.driven, id));
    this.contentions = new Contentions(tables);
    circuit.nets.forEach(({ id }) => this.contentions.look(id, 0, this.driven));
    this.pending = new PendingChanges(tables, delays, this.queue, this.driven);
    this.insides = new ChipInsides(tables, this.words, this.memories, this.pending, options.marks ?? false);
    for (const memory of this.memories) memory.begin();
    this.memories.forEach((memory, index) => {
      memory.show();
      this.insides.showPort(index, 0);
    });
    this.clocks.forEach(({ choice }, clock) => void this.queue.put(choice.start, this.firstClock + clock, HIGH));
  }

  /** Arcs without figures that were needed so far. */
  get standIns(): readonly StandIn[] {
    return this.pending.standIns;
  }

  /** Pairs of output changes that cancelled. */
  get cancelled(): number {
    return this.pending.cancelled;
  }

  /** The value at a net's drivers now. */
  valueOf(net: NetId): Value {
    return (levelOnNet(this.tables, this.driven, net) & VALUE) as Value;
  }

  /** The value at one driver of the tables now. */
  valueOfDriver(driver: number): Value {
    return ((this.driven[driver] ?? UNKNOWN) & VALUE) as Value;
  }

  /** The value and mark of a net now. */
  wordOf(net: NetId): number {
    return levelOnNet(this.tables, this.driven, net);
  }

  /** What an input pin sees, or a storage bit holds, now. Undefined when the chip has no such pin or bit. */
  valueAt(chip: Chip, name: string): Value | undefined {
    const variable = this.tables.variableOf(chip, name);
    return variable === undefined ? undefined : (((this.words[variable] ?? UNKNOWN) & VALUE) as Value);
  }

  /** The words that all variables hold, for observers of pins: to be left as they were found. */
  get pinWords(): Int32Array {
    return this.words;
  }

  /** Sets an input from outside, at a time not before now. Throws RangeError when the net is none or the time is past. */
  drive(net: NetId, time: Fs, value: Value): void {
    this.checkTime(time);
    const driver = this.tables.outsideDriverOf(net);
    if (driver === undefined) {
      throw new RangeError(`${this.tables.circuit.nets[net]?.name ?? net} is no input from outside`);
    }
    this.queue.put(time, this.firstOutside + driver, value);
  }

  /** Puts new contents into a memory now; its outputs follow as after a change of its address. */
  load(chip: Chip, bytes: Uint8Array): void {
    const index = this.tables.memories.findIndex((memory) => memory.chip === chip);
    if (index < 0) throw new RangeError(`${chip.ref} is no memory`);
    this.memories[index]?.load(bytes);
    this.tables.memories.forEach(({ firstPort }, port) => {
      if (firstPort === index) this.insides.showPort(port, this.now);
    });
  }

  /**
   * All that the board holds now, for `restore`; undefined while somebody outside waits to act, such as a script that is not
   * done: what he will do is not the board's. Observers are not part of it.
   */
  save(): SimulatorState | undefined {
    return saveState(this.held, this.now, [this.outputChanges, this.arrivals]);
  }

  /** Goes on from a saved state of the same board. Throws WrongState where it is another's. */
  restore(state: SimulatorState): void {
    restoreState(this.held, state);
    this.now = state.now;
    [this.outputChanges, this.arrivals] = state.counts;
    this.contentions.begin(state.now, this.driven);
  }

  private get held(): HeldParts {
    const { words, driven, netWord, wireWord, insides, memories, queue, pending, firstTimer } = this;
    const cells = memories.flatMap(({ contents, unknown }) => [contents, unknown]);
    const arrays = [words, driven, netWord, wireWord, ...insides.state, ...cells];
    return { arrays, memories, queue, pending, driverCount: driven.length, firstTimer };
  }

  /** Calls `act` at a time not before now. */
  at(time: Fs, act: () => void): void {
    this.checkTime(time);
    const timer = this.freeTimers.pop() ?? this.timers.length;
    this.timers[timer] = act;
    this.queue.put(time, this.firstTimer + timer, 0);
  }

  /** Has every change of a net told to `observer` from now on, as it is at the net's drivers. */
  observe(net: NetId, observer: NetObserver): void {
    const present = this.netObservers.get(net);
    if (present) present.push(observer);
    else this.netObservers.set(net, [observer]);
    this.netWork[net] = (this.netWork[net] ?? 0) | NET_OBSERVED;
    this.netWord[net] = levelOnNet(this.tables, this.driven, net);
  }

  /** Has every change of one driver of the tables told to `observer` from now on. */
  observeDriver(driver: number, observer: DriverObserver): void {
    const net = this.driverNet[driver];
    if (net === undefined) throw new RangeError(`no driver ${driver}`);
    const present = this.driverObservers.get(driver);
    if (present) present.push(observer);
    else this.driverObservers.set(driver, [observer]);
    this.netWork[net] = (this.netWork[net] ?? 0) | DRIVER_OBSERVED;
  }

  /** Has changes at these pins told to `observer` from now on, after those who asked before. */
  observePins(pins: Iterable<number>, observer: PinObserver): void {
    const own = new Set(pins);
    const before = this.pinObserver;
    const ofBefore = this.pinObserved.slice();
    this.pinObserver = before
      ? (pin, time, was, is) => {
          if (ofBefore[pin] !== 0) before(pin, time, was, is);
          if (own.has(pin)) observer(pin, time, was, is);
        }
      : observer;
    for (const pin of own) this.pinObserved[pin] = 1;
  }

  /** Takes all events up to and including `until`. Throws NoProgress when events follow each other without time passing. */
  run(until: Fs): void {
    const { queue } = this;
    const driverCount = this.driven.length;
    let countdown = PROGRESS_EVERY;
    let timeBefore = this.now;
    for (;;) {
      const event = queue.take(until);
      if (event < 0) break;
      const target = queue.target[event] as number;
      const word = queue.word[event] as number;
      const time = queue.time[event] as number;
      queue.free(event);
      if (target < 0) continue; // cancelled
      if (target < driverCount) {
        this.pending.arrived(target);
        this.leave(target, word, time);
      } else if (target < this.firstClock) {
        this.deliver(target - driverCount, word, time);
      } else {
        this.now = time;
        this.actOutside(target, word, time);
      }
      if (--countdown === 0) {
        if (time - timeBefore < LEAST_PROGRESS) throw new NoProgress(this.describeStall(time));
        countdown = PROGRESS_EVERY;
        timeBefore = time;
      }
    }
    this.now = until;
  }

  private actOutside(target: number, word: number, time: number): void {
    if (target < this.firstOutside) {
      this.tick(target - this.firstClock, word, time);
    } else if (target < this.firstTimer) {
      const driver = target - this.firstOutside;
      if (this.driven[driver] !== word) this.leave(driver, word, time);
    } else {
      const timer = target - this.firstTimer;
      const act = this.timers[timer];
      this.timers[timer] = undefined;
      this.freeTimers.push(timer);
      act?.();
    }
  }

  /** An oscillator's edge. Where it can be switched off, that takes effect at its edges. */
  private tick(clock: number, word: number, time: number): void {
    const one = this.clocks[clock];
    if (!one) return;
    const { period, high } = one.choice;
    this.queue.put(time + (word === HIGH ? high : period - high), this.firstClock + clock, word === HIGH ? LOW : HIGH);
    const driven = one.enable >= 0 && this.insides.answer(one.enable) === LOW ? UNDRIVEN : word;
    if (driven !== this.driven[one.driver]) this.leave(one.driver, driven, time);
  }

  /** A value leaves an output pin. */
  private leave(driver: number, word: number, time: number): void {
    this.outputChanges++;
    this.driven[driver] = word;
    const net = this.driverNet[driver] as number;
    if (this.netWork[net] !== 0) this.look(net, driver, word, time);
    const end = this.firstBundle[driver + 1] as number;
    for (let bundle = this.firstBundle[driver] as number; bundle < end; bundle++) {
      const delay = this.bundleDelay[bundle] as number;
      if (delay === 0) this.deliver(bundle, word, time);
      else this.queue.put(time + delay, this.driven.length + bundle, word);
    }
  }

  /** A value arrives at the ends of wires. */
  private deliver(bundle: number, word: number, time: number): void {
    const end = this.bundleStart[bundle + 1] as number;
    for (let index = this.bundleStart[bundle] as number; index < end; index++) {
      const wire = this.wireOrder[index] as number;
      const pin = this.wireReceiver[wire] as number;
      let seen = word;
      if (this.wireShared[wire] !== 0) {
        this.wireWord[wire] = word;
        seen = this.resolveAt(pin);
      }
      seen = received(seen);
      const before = this.words[pin] as number;
      if (seen === before) continue;
      this.arrivals++;
      this.words[pin] = seen;
      if (this.pinObserved[pin] !== 0) this.pinObserver?.(pin, time as Fs, before, seen);
      this.insides.react(pin, before, seen, time);
    }
  }

  private resolveAt(pin: number): number {
    const { start, items } = this.tables.wiresOfPin;
    const end = start[pin + 1] as number;
    let word: number = UNDRIVEN;
    for (let index = start[pin] as number; index < end; index++) {
      word = resolve(word, this.wireWord[items[index] as number] as number);
    }
    return word;
  }

  /** A net that someone observes, or a driver of it, or that several drivers share. */
  private look(net: number, driver: number, changed: number, time: number): void {
    const work = this.netWork[net] as number;
    if ((work & NET_SHARED) !== 0) this.contentions.look(net, time, this.driven);
    if ((work & DRIVER_OBSERVED) !== 0) {
      const found = this.driverObservers.get(driver) ?? [];
      for (let index = 0; index < found.length; index++) found[index]?.(time as Fs, changed);
    }
    if ((work & NET_OBSERVED) === 0) return;
    const word = levelOnNet(this.tables, this.driven, net);
    if (word === this.netWord[net]) return;
    this.netWord[net] = word;
    this.now = time;
    const observers = this.netObservers.get(net) ?? [];
    for (let index = 0; index < observers.length; index++) observers[index]?.(time as Fs, word);
  }

  private checkTime(time: Fs): void {
    if (!(time >= this.now)) throw new RangeError(`${time} fs is before now, ${this.now} fs`);
  }

  /** Names the nets that go on changing. */
  private describeStall(time: number): string {
    const nets = new Set<string>();
    for (let step = 0; step < 64; step++) {
      const event = this.queue.take(time + LEAST_PROGRESS);
      const driver = this.tables.drivers[event < 0 ? -1 : (this.queue.target[event] ?? -1)];
      if (driver) nets.add(driver.net.name);
    }
    const moment = `${Math.round(time / 1e6)} ns`;
    return `Gates feed each other with next to no delay, so that time stands still at ${moment}. Nets: ${[...nets].join(", ")}`;
  }
}

interface ClockState {
  readonly driver: number;
  readonly choice: OscillatorChoice;
  /** When it runs, as an expression of the tables; -1: always. */
  readonly enable: number;
}

const NET_SHARED = 1;
const NET_OBSERVED = 2;
const DRIVER_OBSERVED = 4;

/** So many events must take so many femtoseconds at least: a million in 10 ns would be no circuit. */
const PROGRESS_EVERY = 1 << 20;
const LEAST_PROGRESS = 10_000_000;
