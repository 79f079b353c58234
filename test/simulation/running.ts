import type { Circuit } from "../../src/circuit/circuit.js";
import { inNs, ns } from "../../src/quantity/index.js";
import {
  type DelayChoice,
  type SimulatorOptions,
  type Value,
  Simulator,
  chooseDelays,
  compileTables,
} from "../../src/simulation/index.js";
import { netOf } from "../support/build-circuit.js";

export interface Start extends Omit<SimulatorOptions, "inputs"> {
  readonly delays?: DelayChoice;
  /** First values of inputs, by net. */
  readonly inputs?: Readonly<Record<string, Value>>;
}

/** A simulator of a circuit, at power-up. */
export function start(circuit: Circuit, { delays = "typical", inputs = {}, ...options }: Start = {}): Simulator {
  const tables = compileTables(circuit);
  const values = Object.entries(inputs).map(([name, value]) => [netOf(circuit, name).id, value] as const);
  return new Simulator(tables, chooseDelays(tables, delays), { ...options, inputs: new Map(values) });
}

/** Changes of a net from now on, as pairs of nanoseconds and a letter: `0`, `1`, `x`, `z`. */
export function listen(simulator: Simulator, net: string): (readonly [time: number, value: string])[] {
  const changes: [number, string][] = [];
  simulator.observe(netOf(simulator.tables.circuit, net).id, (time, word) => {
    changes.push([inNs(time), "01xz"[word & 3] ?? ""]);
  });
  return changes;
}

/** Drives an input: levels at times in nanoseconds. */
export function play(
  simulator: Simulator,
  net: string,
  changes: readonly (readonly [time: number, value: Value])[],
): void {
  for (const [time, value] of changes) simulator.drive(netOf(simulator.tables.circuit, net).id, ns(time), value);
}

/** The value of a net now: `0`, `1`, `x` or `z`. */
export function letterOf(simulator: Simulator, net: string): string {
  return "01xz"[simulator.valueOf(netOf(simulator.tables.circuit, net).id)] ?? "";
}
