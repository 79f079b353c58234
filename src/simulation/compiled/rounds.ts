import { type Fixed, type Ticking, autonomousBits, workOutPeriod } from "./autonomous.js";
import { Columns, promisingRounds } from "./columns.js";
import type { Layout } from "./layout.js";
import { type Orbit, findOrbit } from "./orbit.js";
import { type RecordForm, type RoundCode, compileRound } from "./round-code.js";
import { buildRows } from "./row-table.js";
import type { Signal } from "./structure.js";
import { neededFor } from "./support.js";
import { type UnrolledRound, unroll } from "./unrolled.js";
import { ModuleWriter } from "./wasm-writer.js";
import { type WasmFunction, type WasmMemory, functionOf, instantiate } from "./web-assembly.js";

/** What rounds are made for. */
export interface RoundsWanted {
  readonly ticking: Ticking;
  readonly layout: Layout;
  readonly memory: WasmMemory;
  /** Inputs from outside that are taken as fixed, with their levels. */
  readonly fixed: Fixed;
  /** Storage bits that other inputs can change between edges. */
  readonly isTouched: (bit: Signal) => boolean;
  /** What storage holds now, the oscillator being low. */
  readonly levelOf: (bit: Signal) => 0 | 1;
  readonly recorded: readonly Signal[];
  /** Gives so many bytes of the memory. */
  readonly allocate: (bytes: number) => number;
}

/** Rounds of a circuit: compiled code that takes many oscillator edges at once. */
export interface Rounds {
  /** Oscillator edges of a round. */
  readonly edges: number;
  /** Rounds after which what runs on its own comes back. */
  readonly count: number;
  /** Edges from when this was made until the first round can begin. */
  readonly ahead: number;
  readonly orbit: Orbit;
  readonly code: RoundCode;
  readonly record: RecordForm;
  /** Addresses of the state's words, and of the rows. */
  readonly stateAt: number;
  readonly rowAt: (round: number) => number;
  readonly run: WasmFunction;
  readonly runRecording: WasmFunction;
}

/** Longest round that is tried, and the one that is tried first, in oscillator periods. */
const MOST_PERIODS = 128;
const FIRST_PERIODS = 16;
/** A longer round must be so many times as good for each period. */
const WORTH = 3;
/** A round that leaves so many operations a period is no gain over going from edge to edge. */
const MOST_OPERATIONS = 400;

/** Makes rounds; undefined where nothing runs on its own, or what does takes too long to come back. */
export function makeRounds(wanted: RoundsWanted): Rounds | undefined {
  const { ticking, layout, memory, fixed, isTouched, levelOf, recorded } = wanted;
  const period = workOutPeriod(ticking, fixed);
  if (!period) return undefined;
  const orbit = longestOrbit(period, autonomousBits(ticking, period, isTouched), levelOf);
  if (!orbit) return undefined;

  const best = bestRound(ticking, fixed, orbit, recorded);
  if (!best) return undefined;
  const { columns, round } = best;
  const stateAt = wanted.allocate(4 * ticking.structure.bits.length);
  const code = compileRound(ticking.structure, layout, round, stateAt);
  const rows = buildRows(round, columns, code.row);
  const rowsAt = wanted.allocate(4 * rows.length);
  new Uint32Array(memory.buffer, rowsAt, rows.length).set(rows);
  const writer = new ModuleWriter();
  writer.add(code.run, "run");
  writer.add(code.runRecording, "runRecording");
  const exported = instantiate(writer.toBytes(), { host: { memory } });
  return {
    edges: columns.edges,
    count: columns.rounds,
    ahead: 2 * orbit.ahead,
    orbit,
    code,
    record: code.record,
    stateAt,
    rowAt: (round) => rowsAt + 4 * code.row.words * round,
    run: functionOf(exported, "run"),
    runRecording: functionOf(exported, "runRecording"),
  };
}

/** The orbit of all bits that run on their own; without those that take too long, if need be. */
function longestOrbit(
  period: NonNullable<ReturnType<typeof workOutPeriod>>,
  lists: readonly (readonly Signal[])[],
  levelOf: (bit: Signal) => 0 | 1,
): Orbit | undefined {
  for (let count = lists.length; count > 0; count = Math.floor(count * 0.8)) {
    const orbit = findOrbit(period, lists.slice(0, count).flat(), levelOf);
    if (orbit) return orbit;
  }
  return undefined;
}

/** A round long enough that little is left to do in it for each period. */
function bestRound(ticking: Ticking, fixed: Fixed, orbit: Orbit, recorded: readonly Signal[]) {
  const candidates = promisingRounds(orbit, MOST_PERIODS);
  const first = Math.max(0, candidates.filter((periods) => periods <= FIRST_PERIODS).length - 1);
  let best: { columns: Columns; round: UnrolledRound; cost: number } | undefined;
  for (const periods of candidates.slice(first)) {
    const columns = new Columns(orbit, periods);
    const round = unroll(ticking, fixed, columns, recorded);
    if (!round) return undefined;
    const cost = costOf(round) / periods;
    if (best && cost > best.cost / WORTH) break;
    best = { columns, round, cost };
  }
  return best && best.cost <= MOST_OPERATIONS ? best : undefined;
}

/** Operations that a round leaves to be done. */
function costOf({ graph, after, arrays, samples, begins, doubt, isKnownBefore }: UnrolledRound): number {
  const roots = [...after.values(), ...samples.map(({ bit }) => bit), ...begins.flat(), doubt];
  const { uses } = neededFor(graph, roots, arrays);
  let cost = OPERATIONS_OF_A_ROUND;
  uses.forEach((count, bit) => (cost += count > 0 && isKnownBefore[bit] !== 1 ? 1 : 0));
  return cost;
}

/** About what each round costs besides. */
const OPERATIONS_OF_A_ROUND = 20;
