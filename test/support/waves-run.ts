import type { Circuit, NetId } from "../../src/circuit/circuit.js";
import { arcsOf, isMissing } from "../../src/parts/index.js";
import { type Fs, fs } from "../../src/quantity/index.js";
import {
  type DelayChoice,
  type Tables,
  type Tape,
  type Violation,
  Simulator,
  Watch,
  arcKey,
  chooseDelays,
  compileTables,
  record,
  wireKey,
} from "../../src/simulation/index.js";
import { randomFor } from "../../src/simulation/random.js";
import type { DelayVariable } from "../../src/timing/delay-variable.js";

/** Where between its limits each delay of a board lies. */
export type Spread = "typical" | "earliest" | "latest" | "ends" | "even";

/** Limits; without a typical value the middle is typical. */
interface Limits {
  readonly min: number;
  readonly max: number;
  readonly typical?: number | undefined;
}

/** One board: a value for every delay of the model, the same for whoever asks. */
export class BoardDelays {
  readonly #seed: number;
  readonly #spread: Spread;

  constructor(seed: number, spread: Spread) {
    this.#seed = seed;
    this.#spread = spread;
  }

  /** A value within limits, by the name of what it is the delay of. */
  within(name: string, { min, max, typical = Math.round((min + max) / 2) }: Limits): number {
    if (this.#spread === "typical") return typical;
    if (this.#spread === "earliest") return min;
    if (this.#spread === "latest") return max;
    const luck = randomFor(name, this.#seed);
    if (this.#spread === "ends") return luck < 0.5 ? min : max;
    return Math.min(max, Math.max(min, Math.round(min + luck * (max - min))));
  }

  /** The value of a variable of the proof, in femtoseconds. */
  of(variable: DelayVariable): number {
    return this.within(nameOf(variable), variable);
  }
}

function nameOf({ kind, chip, from, edge, to, change, label }: DelayVariable): string {
  if (kind === "arc" && edge && change) return arcKey(chip, from, edge, to, change);
  return kind === "wire" ? `${from} to ${to}` : label;
}

const compiled = new WeakMap<Circuit, Tables>();

function tablesOf(circuit: Circuit): Tables {
  const tables = compiled.get(circuit) ?? compileTables(circuit);
  compiled.set(circuit, tables);
  return tables;
}

/** What a simulated board did. Times in femtoseconds. */
export interface Run {
  readonly delays: BoardDelays;
  readonly period: number;
  readonly high: number;
  /** First rise of the oscillator. */
  readonly start: number;
  readonly end: number;
  /** By net. */
  readonly tapes: readonly Tape[];
  readonly violations: readonly Violation[];
  /** Times in which several drove a net, by net. */
  readonly contentions: readonly { readonly net: NetId; readonly from: number }[];
}

/** A value for every delay of a circuit with one oscillator, which first rises after one period. */
export function boardChoice(circuit: Circuit, tables: Tables, seed: number, spread: Spread) {
  const delays = new BoardDelays(seed, spread);
  const can = circuit.chips.find(({ part }) => part.oscillation);
  if (!can?.part.oscillation) throw new RangeError("no oscillator");
  const { period: periods, duty } = can.part.oscillation;
  const period = delays.within("period", periods);
  const highs = { min: Math.ceil(duty.min * period), max: Math.floor(duty.max * period) };
  const high = delays.within("high time", highs);
  const start = period;
  const arcs = new Map<string, Fs>();
  for (const { ref, part } of circuit.chips) {
    for (const { from, to, moves } of arcsOf(part.behaviour)) {
      for (const { edge, change } of moves) {
        const limits = part.figures.delay(from, edge, to, change);
        const key = arcKey(ref, from, edge, to, change);
        if (!isMissing(limits)) arcs.set(key, fs(delays.within(key, limits)));
      }
    }
  }
  const wires = new Map<string, Fs>();
  for (const { driver, receiver } of tables.wires) {
    const from = tables.drivers[driver];
    const to = tables.variables[receiver];
    if (!from || !to) continue;
    const key = wireKey(from.chip?.ref ?? "", from.pin, to.chip.ref, to.name);
    wires.set(key, fs(delays.within(key, circuit.wireDelay)));
  }
  const oscillator = { ref: can.ref, period: fs(period), high: fs(high), start: fs(start) };
  const oscillators = new Map([[can.ref, oscillator]]);
  const choice: DelayChoice = { arcs, wires, oscillators, otherwise: "typical" };
  return { choice, oscillator, delays };
}

/**
 * Simulates one board of a circuit with one oscillator for some periods, from power-up with all storage low, or until a time
 * in femtoseconds if that is sooner.
 */
export function runBoard(circuit: Circuit, seed: number, spread: Spread, ticks: number, until = Infinity): Run {
  const tables = tablesOf(circuit);
  const { choice, oscillator, delays } = boardChoice(circuit, tables, seed, spread);
  const { period, high, start } = oscillator;
  const simulator = new Simulator(tables, chooseDelays(tables, choice), { powerUp: "low" });
  const watch = new Watch(simulator);
  for (const { net, timing } of circuit.inputs) {
    if (timing.kind !== "after") throw new RangeError(`an input that is ${timing.kind} cannot be run here`);
    const [own, followed] = [circuit.nets[net]?.name ?? "", circuit.nets[timing.net]?.name ?? ""];
    const delay = delays.within(`${own} after ${followed} ${timing.edge}`, timing.delay);
    let edges = 0;
    simulator.observe(timing.net, (time, word) => {
      if ((word & 3) !== (timing.edge === "rise" ? 1 : 0)) return;
      const level = randomFor(`input ${net} ${edges++}`, seed) < 0.5 ? 0 : 1;
      simulator.drive(net, fs(time + delay), level);
    });
  }
  const tapes = circuit.nets.map(({ id }) => record(simulator, id));
  const end = Math.min(start + ticks * period, Math.floor(until));
  simulator.run(fs(end));
  const { contentions } = simulator;
  return {
    delays,
    period,
    high,
    start,
    end,
    tapes,
    violations: watch.violations,
    contentions: [...contentions.ended, ...contentions.open].map(({ net, from }) => ({ net: net.id, from })),
  };
}
