import { type Circuit, type Net, type NetId, type ReadOptions, readCircuit } from "../../circuit/index.js";
import { namesIn, requirementsOf } from "../../parts/index.js";
import { fs } from "../../quantity/index.js";
import { failingByFigures, failingLevels } from "./evaluate.js";
import {
  NoProgress,
  type Simulator,
  UNDRIVEN,
  UNKNOWN,
  VALUE,
  Watch,
  longestFights,
  powerUpBoard,
} from "../../simulation/index.js";

/** What a few boards of a text did in a short time, each with delays at random ends of their limits. */
export interface Screening {
  /**
   * Places at which one of them did what it should not: a requirement missed, a net fought for, nothing driven for longer than
   * allowed, a register that took in nothing in particular. Where there is one the text cannot hold.
   */
  readonly faults: ReadonlySet<string>;
  /** Nets that clock, write or open something and did not change. */
  readonly still: ReadonlySet<string>;
  /** Places at which little was to spare: where there are many, a proof seldom holds. */
  readonly doubts: ReadonlySet<string>;
  /** Edges a microsecond of each net that clocks, writes or latches something. */
  readonly pace: ReadonlyMap<string, number>;
}

/** Boards that are looked at, one after the other until one does something wrong. */
const BOARDS = 4;
/** Odd seeds put each delay at one of its ends, where most failures are. */
const seedOf = (board: number) => 2 * board + 1;

/**
 * A short look at a text by simulation of so many oscillator periods after the reset: it finds failures, never their absence.
 * Undefined for a text with mistakes.
 */
export function screenText(text: string, file: string, options: ReadOptions, periods: number): Screening | undefined {
  const { circuit } = readCircuit(text, file, options);
  if (!circuit) return undefined;
  const found = {
    faults: new Set<string>(),
    still: new Set<string>(),
    doubts: new Set<string>(),
    pace: new Map<string, number>(),
  };
  const { faults } = found;
  // What figures alone tell costs next to nothing.
  for (const { name } of failingByFigures(circuit)) faults.add(name);
  for (let board = 0; board < BOARDS && faults.size === 0; board++) {
    screenBoard(circuit, periods, seedOf(board), found);
  }
  if (faults.size === 0) {
    for (const { rule, chip, pin } of failingLevels(circuit)) faults.add(`${chip} ${pin} ${rule}`);
  }
  return found;
}

/** Of an oscillator period: less to spare than that on a board is little. */
const LITTLE = 0.15;

interface Found {
  readonly faults: Set<string>;
  readonly still: Set<string>;
  readonly doubts: Set<string>;
  readonly pace: Map<string, number>;
}

/** Adds what one board does wrong within so many oscillator periods, and how often it does what. */
function screenBoard(circuit: Circuit, periods: number, seed: number, { faults, still, doubts, pace }: Found): void {
  const period = periodOf(circuit);
  const span = Math.round(periods * period);
  const board = { delays: { seed, spread: "ends" }, seed, busy: true } as const;
  const { simulator, released } = powerUpBoard(circuit, board);
  let watch: Watch | undefined;
  try {
    // What the reset leaves behind runs out first: a divider that it does not reach, a write under way.
    simulator.run(fs(released + Math.round(span / 4)));
    watch = new Watch(simulator, { within: fs(Math.round(LITTLE * period)) });
    simulator.contentions.restart(simulator.now);
    const edges = countEdges(simulator, circuit);
    const look = watchUnknown(simulator, circuit, faults);
    simulator.run(fs(simulator.now + span));
    look();
    for (const [net, count] of edges) {
      pace.set(net, count / (span / 1e9));
      if (count === 0) still.add(net);
    }
  } catch (error) {
    if (!(error instanceof NoProgress)) throw error;
    faults.add("a loop without end");
  }
  for (const { asynchronous, rule, chip, pin, reference, required, actual } of watch?.violations ?? []) {
    const isMissed = actual < required.time;
    // From one flip-flop to the next little is to spare always; where owners change it says that one goes as somebody reads.
    if (!isMissed && rule === "hold" && chip.nets.get(pin)?.drivers.length === 1) continue;
    if (!asynchronous && !isFromOutside(chip.nets.get(pin)))
      (isMissed ? faults : doubts).add(`${chip.ref} ${pin} ${reference ?? ""} ${rule} ${required.symbol}`);
  }
  for (const { place } of longestFights(simulator.contentions, circuit.allowedContention)) faults.add(place);
  for (const { net, opposed } of simulator.contentions.open) if (opposed) faults.add(`${net.name} stays fought for`);
}

/** Whether gates alone are between a net and a signal from outside: what takes that in is a synchroniser's first stage. */
function isFromOutside(net: Net | undefined, depth = 0): boolean {
  if (!net || depth > MOST_GATES) return false;
  if (net.input) return true;
  return net.drivers.some(({ chip, pin }) => {
    const { storage, memory, outputs } = chip.part.behaviour;
    const value = storage.length === 0 && !memory ? outputs.find((output) => output.pin === pin)?.value : undefined;
    return value !== undefined && namesIn(value).some((name) => isFromOutside(chip.nets.get(name), depth + 1));
  });
}

/** Gates one behind the other. */
const MOST_GATES = 3;

/** In femtoseconds, of the fastest oscillator. */
function periodOf({ chips }: Circuit): number {
  const periods = chips.flatMap(({ part }) => (part.oscillation ? [part.oscillation.period.max] : []));
  return Math.min(...periods, LONGEST_PERIOD);
}

/** Where no part oscillates, 1 MHz. */
const LONGEST_PERIOD = 1e9;

/** Edges from now on at nets that clock, write or open something. */
function countEdges(simulator: Simulator, { chips, nets }: Circuit): ReadonlyMap<string, number> {
  const acting = new Set<NetId>();
  for (const { part, nets: own } of chips) {
    const { behaviour } = part;
    const write = behaviour.memory?.write;
    const latched = behaviour.storage.flatMap((bit) => (bit.kind === "latch" ? namesIn(bit.open) : []));
    const clocks = requirementsOf(behaviour).clocks.map(({ pin }) => pin);
    for (const pin of [...clocks, ...latched, ...(write ? namesIn(write) : [])]) {
      const net = own.get(pin);
      if (net && !net.rail) acting.add(net.id);
    }
  }
  const counts = new Map<string, number>();
  for (const id of acting) {
    const name = nets[id]?.name ?? "";
    counts.set(name, 0);
    simulator.observe(id, () => counts.set(name, (counts.get(name) ?? 0) + 1));
  }
  return counts;
}

/** Notes what nobody drives for too long, and registers that hold nobody knows what. Call what it returns at the end. */
function watchUnknown(simulator: Simulator, circuit: Circuit, faults: Set<string>): () => void {
  const since = new Map<NetId, number>();
  const limit = circuit.allowedUndriven ?? Infinity;
  const lookAt = (id: NetId, name: string, time: number, value: number) => {
    const from = since.get(id);
    if (from !== undefined && time - from > limit) faults.add(`${name} undriven`);
    if (value === UNDRIVEN) since.set(id, from ?? time);
    else since.delete(id);
  };
  const taken = new Map<NetId, string>();
  const shared = circuit.nets.filter(({ drivers }) => drivers.length > 1);
  for (const { id, name } of shared) simulator.observe(id, (time, word) => lookAt(id, name, time, word & VALUE));
  for (const { part, nets } of circuit.chips) {
    const bits = new Set(part.behaviour.storage.flatMap((bit) => (bit.kind === "register" ? [bit.name] : [])));
    for (const { pin, value } of part.behaviour.outputs) {
      const net = nets.get(pin);
      if (!net || net.drivers.length !== 1 || !namesIn(value).some((name) => bits.has(name))) continue;
      taken.set(net.id, net.name);
    }
  }
  const lookAtTaken = (name: string, value: number) => {
    if (value === UNKNOWN) faults.add(`${name} unknown`);
  };
  for (const [id, name] of taken) simulator.observe(id, (_, word) => lookAtTaken(name, word & VALUE));
  return () => {
    for (const [id, name] of taken) lookAtTaken(name, simulator.valueOf(id));
    for (const { id, name } of shared) lookAt(id, name, simulator.now, simulator.valueOf(id));
  };
}
