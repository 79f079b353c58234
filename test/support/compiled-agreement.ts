import { readFileSync } from "node:fs";
import type { Circuit } from "../../src/circuit/circuit.js";
import { boardOscillators, formatProblem, readCircuit } from "../../src/circuit/index.js";
import { type Fs, fs } from "../../src/quantity/index.js";
import {
  type Tape,
  type Value,
  SHORT_RESET,
  Simulator,
  VALUE_LETTERS,
  chooseDelays,
  compileTables,
  planInputs,
  record,
} from "../../src/simulation/index.js";
import { type FoundDoubt, Machine } from "../../src/simulation/compiled/index.js";
import type { Check, RuleName } from "../../src/timing/check.js";
import { type Sketch, circuitOfSketch } from "./clocked-circuit.js";
import { randomBytes, randomFor } from "../../src/simulation/random.js";
import { provePlainly } from "./waves-proof.js";
import { type Spread, boardChoice } from "./waves-run.js";

/** No arc and wire of a sketch together take as long, in femtoseconds: after as long a silence nothing is on its way. */
export const SILENCE = 20e6;

/** A net or storage bit that the two simulators hold at different values while all is at rest. */
export interface Disagreement {
  readonly name: string;
  /** Oscillator edges that have come. */
  readonly edge: number;
  readonly timed: string;
  readonly compiled: string;
}

export interface Agreement {
  readonly disagreement?: Disagreement;
  /** Rests at which everything was compared, and rests of the board that were not reached before the next edge. */
  readonly compared: number;
  readonly restless: number;
  /** Values that were compared, and changes of nets from one rest to the next among them. */
  readonly values: number;
  readonly changes: number;
  /** Where the compiled simulation could not tell. */
  readonly doubts: readonly FoundDoubt[];
  readonly steps: number;
  readonly carefulSteps: number;
  readonly thoroughSteps: number;
}

/** The sketch with a slower oscillator: all is at rest before each of its edges. */
export function slowed(sketch: Sketch, factor: number): Sketch {
  const period = sketch.period * factor;
  // Signals from outside come when what the clock set going is over.
  const inputs = sketch.inputs.map((input, index) => {
    const from = Math.round(period * (0.3 + 0.04 * index));
    return { ...input, from, to: from + 2 };
  });
  return { ...sketch, period, inputs };
}

/** Whether a proof of so many ticks finds all in order; two drivers that hand a net over may meet for a moment. */
export function holds(circuit: Circuit, ticks: number): boolean {
  return provePlainly(circuit, ticks).checks.every(({ check }) => isMet(check) || OF_SHARED_NETS.has(check.rule));
}

const OF_SHARED_NETS: ReadonlySet<RuleName> = new Set(["contention", "undriven"]);

function isMet({ available, required }: Check): boolean {
  return available >= required;
}

/**
 * Runs one board of a sketch both ways from power-up with all storage low, and compares every net and storage bit just before
 * each oscillator edge, wherever the board is at rest. Inputs from outside change at the board's times in both.
 */
export function compareWithTimed(sketch: Sketch, seed: number, spread: Spread, ticks: number): Agreement {
  const circuit = circuitOfSketch(sketch);
  const tables = compileTables(circuit);
  const { choice, oscillator, delays } = boardChoice(circuit, tables, seed, spread);
  const simulator = new Simulator(tables, chooseDelays(tables, choice), { powerUp: "low" });
  const machine = new Machine(circuit, { powerUp: "low", oscillators: new Map([[oscillator.ref, oscillator]]) });
  for (const { net, timing } of circuit.inputs) {
    if (timing.kind !== "after") throw new RangeError(`an input that is ${timing.kind} cannot be run here`);
    const delay = delays.within(`input ${net}`, timing.delay);
    let edges = 0;
    simulator.observe(timing.net, (time, word) => {
      if ((word & 3) !== (timing.edge === "rise" ? 1 : 0)) return;
      const level = randomFor(`input ${net} ${edges++}`, seed) < 0.5 ? 0 : 1;
      simulator.drive(net, fs(time + delay), level);
      machine.drive(net, time + delay, level);
    });
  }
  return compareRests(
    circuit,
    simulator,
    machine,
    Array.from({ length: 2 * ticks }, (_, edge) => edgeTime(oscillator, edge)),
  );
}

function edgeTime({ start, period, high }: { start: number; period: number; high: number }, edge: number): number {
  return start + Math.floor(edge / 2) * period + (edge % 2) * high;
}

/** Runs both to just before each of these times and compares wherever no net of the timed one has changed for a while. */
export function compareRests(
  circuit: Circuit,
  simulator: Simulator,
  machine: Machine,
  times: Iterable<number>,
  silence = SILENCE,
): Agreement {
  const tapes: Tape[] = circuit.nets.map(({ id }) => record(simulator, id));
  const bits = circuit.chips.flatMap((chip) => chip.part.behaviour.storage.map(({ name }) => ({ chip, name })));
  let [compared, restless, values, changes, edge] = [0, 0, 0, 0, 0];
  let before: readonly string[] = [];
  let disagreement: Disagreement | undefined;
  for (const time of times) {
    simulator.run((time - 1) as Fs);
    machine.run(time - 1);
    const lastChange = Math.max(0, ...tapes.map((tape) => tape.timesFs.at(-1) ?? 0));
    edge++;
    if (lastChange > 0 && time - lastChange <= silence) {
      restless++;
      continue;
    }
    compared++;
    const now: string[] = [];
    const look = (name: string, timed: number | undefined, compiled: number | undefined) => {
      values++;
      const [a, b] = [VALUE_LETTERS[timed ?? 2], VALUE_LETTERS[compiled ?? 2]];
      now.push(a ?? "");
      if (a !== b && !disagreement) disagreement = { name, edge: edge - 1, timed: a ?? "", compiled: b ?? "" };
    };
    for (const { id, name } of circuit.nets) look(name, simulator.valueOf(id), machine.valueOf(id));
    for (const { chip, name } of bits) {
      const compiled = machine.valueAt(chip, name);
      // Bits on which nothing hangs are left out.
      if (compiled !== undefined) look(`${chip.ref} ${name}`, simulator.valueAt(chip, name), compiled);
    }
    changes += now.filter((value, index) => before.length > 0 && value !== before[index]).length;
    before = now;
    if (disagreement || machine.doubts.length > 0) break;
  }
  return {
    ...(disagreement && { disagreement }),
    ...{ compared, restless, values, changes },
    doubts: machine.doubts,
    steps: machine.steps,
    carefulSteps: machine.carefulSteps,
    thoroughSteps: machine.thoroughSteps,
  };
}

/** How much slower than its own a bundled board's oscillator runs here: all is at rest before each of its edges. */
const SLOW = 40;
/** Longer than any delay of the bundled boards' parts. */
const BOARD_SILENCE = 150e6;

/** A bundled circuit, be it one that the reader has a remark on. */
function openExample(name: string): Circuit {
  const file = new URL(`../../examples/${name}.circuit.yaml`, import.meta.url);
  const { circuit, problems } = readCircuit(readFileSync(file, "utf8"), `${name}.circuit.yaml`);
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

/** 2.6 us of an oscillator at 25.175 MHz and some more. */
const EDGES_BETWEEN_WRITES = 140;

/**
 * Runs a bundled board both ways with its delays drawn by lot and a slow oscillator, for so many edges. Its processor writes
 * now and then by this strobe, if one is given: every input changes while the board is at rest, as no delay matters there.
 */
export function compareBoards(name: string, seed: number, spread: "ends" | "even", edges: number, strobe?: string) {
  const circuit = openExample(name);
  const tables = compileTables(circuit);
  const oscillators = new Map(
    circuit.chips.flatMap(({ ref, part: { oscillation } }) => {
      if (!oscillation) return [];
      const period = fs(2 * Math.round(SLOW * 0.25 * (oscillation.period.min + oscillation.period.max)));
      return [[ref, { period, high: fs(period / 2), start: fs(period / 2) }] as const];
    }),
  );
  // A processor's own oscillator is not simulated.
  const board = boardOscillators(circuit)[0]?.ref ?? "";
  const oscillator = oscillators.get(board);
  if (!oscillator) throw new RangeError(`${name} has no oscillator`);
  const choice = { arcs: new Map(), wires: new Map(), oscillators, otherwise: { seed, spread } };
  const inputs = planInputs(circuit, { activity: "quiet", longestReset: SHORT_RESET });
  const contents = new Map(
    circuit.chips
      .filter(({ part }) => part.behaviour.memory)
      .map((chip) => [chip, randomBytes(2 ** (chip.part.behaviour.memory?.address.length ?? 0), "memory", seed)]),
  );
  const options = { powerUp: { seed }, inputs: inputs.first, contents };
  const simulator = new Simulator(tables, chooseDelays(tables, choice), options);
  const machine = new Machine(circuit, { ...options, oscillators });
  const netNamed = new Map(circuit.nets.map(({ name: net, id }) => [net, id]));
  const drive = (net: string, time: number, value: Value) => {
    const id = netNamed.get(net);
    if (id === undefined) throw new RangeError(`no net ${net}`);
    simulator.drive(id, fs(time), value);
    machine.drive(id, time, value);
  };
  for (const { net, time, value } of inputs.releases) drive(circuit.nets[net]?.name ?? "", time, value);

  const half = oscillator.period / 2;
  // Address and data, WR# low, WR# high; then as long as the file says that the next request has to wait, and more.
  const rest = (gap: number) => EDGES_BETWEEN_WRITES + Math.floor(60 * randomFor(`gap ${gap}`, seed));
  const last = strobe === undefined ? 0 : edges;
  for (let write = 0, edge = 40; edge < last; write++, edge += rest(write)) {
    const at = (n: number) => oscillator.start + (edge + n) * half + Math.round(half * 0.6);
    const bit = (what: string) => (randomFor(`${what} ${write}`, seed) < 0.5 ? 0 : 1);
    for (let n = 0; n < 15; n++) drive(`PA${n}`, at(0), bit(`PA${n}`));
    for (let n = 0; n < 8; n++) drive(`PD${n}`, at(0), bit(`PD${n}`));
    drive(strobe ?? "", at(1), 0);
    drive(strobe ?? "", at(2), 1);
  }
  const times = Array.from({ length: edges }, (_, edge) => oscillator.start + edge * half);
  const agreement = compareRests(circuit, simulator, machine, times, BOARD_SILENCE);
  const [memory] = simulator.memories;
  const [chip] = contents.keys();
  if (!memory || !chip) throw new RangeError(`${name} has no memory`);
  const same = machine.contentsOf(chip).every((byte, address) => byte === memory.contents[address]);
  return {
    ...agreement,
    ...(!same && { disagreement: { name: chip.ref, edge: edges, timed: "its own contents", compiled: "others" } }),
    writes: memory.writeCount,
  };
}
