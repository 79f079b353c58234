import { readFileSync } from "node:fs";
import { type Circuit, formatProblem, readCircuit } from "../../src/circuit/index.js";
import { findPart } from "../../src/parts/index.js";
import { FS_PER_NS, fs, inNs, ns } from "../../src/quantity/index.js";
import { type DelayChoice, type PowerUp, Simulator, chooseDelays, compileTables } from "../../src/simulation/index.js";
import { netOf } from "../support/build-circuit.js";

/** Nominal period of the 25.175 MHz oscillator, in nanoseconds. */
export const OSCILLATOR_PERIOD = 1000 / 25.175;
/** One line: 800 of them. */
export const LINE = 800 * OSCILLATOR_PERIOD;
/** When `runBoard` lets the reset go, in nanoseconds: time enough for every chip to have been cleared. */
export const RESET_END = 2000;

/** A bundled circuit by its file's name. Throws with all its problems when the reader has any, warnings included. */
export function openBoard(name: string): Circuit {
  const file = new URL(`../../examples/${name}.circuit.yaml`, import.meta.url);
  const { circuit, problems } = readCircuit(readFileSync(file, "utf8"), `${name}.circuit.yaml`, { findPart });
  if (!circuit || problems.length > 0) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

/** The levels of one net: changes in nanoseconds, in order. */
export type Trace = readonly { readonly time: number; readonly level: string }[];

export interface Running {
  readonly simulator: Simulator;
  /** Runs on until so many nanoseconds after power-up. */
  until(time: number): void;
  /** What a net has done so far. */
  trace(net: string): Trace;
  /** Sets the net of an input, or all bits of a bus, now or in so many nanoseconds. */
  drive(net: string, value: number, options?: { bits?: number; in?: number }): void;
}

/** The memory's contents in these tests: bytes that look random and differ from place to place. */
export const PICTURE = Uint8Array.from({ length: 32768 }, (_, address) => ((address * 40503) >> 7) & 0xff);

/** A board at power-up with its reset active and PICTURE in its memory; `watched` nets are traced. */
export function runBoard(
  circuit: Circuit,
  watched: readonly string[],
  delays: DelayChoice = "typical",
  powerUp: PowerUp = { seed: 1 },
): Running {
  const tables = compileTables(circuit);
  const memory = circuit.chips.find(({ part }) => part.behaviour.memory);
  if (!memory) throw new Error("the board has no memory");
  const idle = circuit.inputs.filter(({ timing }) => timing.kind !== "power-up only").map(({ net }) => net);
  const simulator = new Simulator(tables, chooseDelays(tables, delays), {
    powerUp,
    inputs: new Map(idle.map((net) => [net, circuit.nets[net]?.name === "WR#" ? 1 : 0])),
    contents: new Map([[memory, PICTURE]]),
  });
  const traces = new Map(watched.map((name) => [name, [] as { time: number; level: string }[]]));
  for (const [name, trace] of traces) {
    simulator.observe(netOf(circuit, name).id, (time, word) =>
      trace.push({ time: inNs(time), level: "01xz"[word & 3] ?? "" }),
    );
  }
  const drive: Running["drive"] = (net, value, { bits = 0, in: after = 0 } = {}) => {
    const time = fs(simulator.now + ns(after));
    if (bits === 0) simulator.drive(netOf(circuit, net).id, time, value === 0 ? 0 : 1);
    for (let bit = 0; bit < bits; bit++) {
      simulator.drive(netOf(circuit, `${net}${bit}`).id, time, ((value >> bit) & 1) as 0 | 1);
    }
  };
  drive("RESET#", 0);
  drive("RESET#", 1, { in: RESET_END });
  return {
    simulator,
    until: (time) => simulator.run(fs(Math.round(time * FS_PER_NS))),
    trace: (net) => traces.get(net) ?? [],
    drive,
  };
}

/** Times at which a trace goes to this level. */
export function edges(trace: Trace, level: "0" | "1"): readonly number[] {
  return trace.filter((change) => change.level === level).map(({ time }) => time);
}

/** The level of a trace at a time; unknown before its first change. */
export function levelAt(trace: Trace, time: number): string {
  let low = 0;
  let high = trace.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((trace[middle]?.time ?? 0) <= time) low = middle + 1;
    else high = middle;
  }
  return trace[low - 1]?.level ?? "x";
}
