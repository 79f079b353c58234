import { type Fixed, type Ticking, autonomousBits, workOutPeriod } from "./autonomous.js";
import { Columns, promisingRounds } from "./columns.js";
import { type Orbit, findOrbit } from "./orbit.js";
import { type RecordForm, type RoundCode, compileRound } from "./round-code.js";
import { type InputPlace, inputsCode, inputsInRound } from "./round-inputs.js";
import { buildRows, changesInRows } from "./row-table.js";
import { roundStateCode, startsOf } from "./round-state.js";
import type { StepPlan } from "./step-plan.js";
import type { Store } from "./store.js";
import type { Signal } from "./structure.js";
import { neededFor } from "./support.js";
import { type UnrolledRound, unroll } from "./unrolled.js";
import { ModuleWriter } from "./wasm-writer.js";
import { type WasmFunction, functionOf, instantiate } from "./web-assembly.js";

/** What rounds are made for. */
export interface RoundsWanted {
  readonly ticking: Ticking;
  /** What follows on changes of inputs. */
  readonly inputs: StepPlan;
  readonly store: Store;
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
  /** Address of a round's row. */
  readonly rowAt: (round: number) => number;
  /** Address of what runs on its own as a round begins. */
  readonly startAt: (round: number) => number;
  readonly enter: WasmFunction;
  readonly leave: WasmFunction;
  readonly run: WasmFunction;
  readonly runRecording: WasmFunction;
  /** By edges of the round that have come before a change of inputs. */
  readonly inputPlaces: readonly InputPlace[];
  readonly passingInputs: ReadonlySet<number>;
  readonly effectOfInputs: WasmFunction;
  readonly takeInputs: WasmFunction;
  /** Rounds in which a recorded net changes, where that is known beforehand. */
  readonly changesOf: (net: Signal) => readonly number[] | undefined;
}

/** Longest round that is tried, and the one that is tried first, in oscillator periods. */
const MOST_PERIODS = 128;
const FIRST_PERIODS = 16;
/** A longer round must be so many times as good for each period. */
const WORTH = 3;
/** Of a round that leaves no more operations a period no longer ones are tried. */
const FEW_OPERATIONS = 10;
/** A round that leaves so many operations a period is no gain over going from edge to edge. */
const MOST_OPERATIONS = 400;

/** Makes rounds; undefined where nothing runs on its own, or what does takes too long to come back. */
export function makeRounds(wanted: RoundsWanted): Rounds | undefined {
  const { ticking, store, fixed, isTouched, levelOf } = wanted;
  const period = workOutPeriod(ticking, fixed);
  if (!period) return undefined;
  const orbit = longestOrbit(period, autonomousBits(ticking, period, isTouched), levelOf);
  if (!orbit) return undefined;

  const best = bestRound(wanted, orbit);
  if (!best?.inputs) return undefined;
  const { columns, round, inputs } = best;
  const stateAt = wanted.allocate(4 * ticking.structure.bits.length);
  const { layout } = store;
  const code = compileRound(ticking.structure, layout, round, wanted.recorded, stateAt);
  const rows = buildRows(round, columns, code.row);
  const { memory } = store;
  const starts = startsOf(columns);
  const [rowsAt, startsAt] = [wanted.allocate(4 * rows.length), wanted.allocate(4 * starts.length)];
  new Uint32Array(memory.buffer, rowsAt, rows.length).set(rows);
  new Uint32Array(memory.buffer, startsAt, starts.length).set(starts);
  const writer = new ModuleWriter();
  writer.add(code.run, "run");
  writer.add(code.runRecording, "runRecording");
  const inputCode = inputsCode(ticking, layout, round, inputs, code.state, stateAt);
  writer.add(inputCode.effect, "effectOfInputs");
  writer.add(inputCode.take, "takeInputs");
  const stateCode = roundStateCode(wanted.store, columns, code.state, stateAt);
  writer.add(stateCode.enter, "enter");
  writer.add(stateCode.leave, "leave");
  const exported = instantiate(writer.toBytes(), { host: { memory } });
  return {
    edges: columns.edges,
    count: columns.rounds,
    ahead: 2 * columns.orbit.ahead,
    orbit: columns.orbit,
    code,
    record: code.record,
    startAt: (round) => startsAt + 4 * columns.orbit.words * round,
    enter: functionOf(exported, "enter"),
    leave: functionOf(exported, "leave"),
    rowAt: (round) => rowsAt + 4 * code.row.words * round,
    run: functionOf(exported, "run"),
    runRecording: functionOf(exported, "runRecording"),
    inputPlaces: inputs.places,
    passingInputs: inputs.passing,
    effectOfInputs: functionOf(exported, "effectOfInputs"),
    takeInputs: functionOf(exported, "takeInputs"),
    changesOf: changesInRows(round, code.row, rows, wanted.recorded),
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

/**
 * A round long enough that little is left to do in it for each period, and not longer: what comes from outside is taken the
 * sooner the shorter it is.
 */
function bestRound(wanted: RoundsWanted, orbit: Orbit) {
  const { ticking, fixed, recorded } = wanted;
  const candidates = promisingRounds(orbit, MOST_PERIODS);
  const first = Math.max(0, candidates.filter((periods) => periods <= FIRST_PERIODS).length - 1);
  const attempt = (periods: number) => {
    const columns = new Columns(orbit, periods);
    const round = unroll(ticking, fixed, columns, recorded);
    return round && { columns, round, cost: costOf(round) / periods };
  };
  let best = attempt(candidates[first] ?? 1);
  for (let index = first + 1; best && best.cost > FEW_OPERATIONS && index < candidates.length; index++) {
    const longer = attempt(candidates[index] ?? 1);
    if (!longer || longer.cost > best.cost / WORTH) break;
    best = longer;
  }
  for (let index = first - 1; best && index >= 0; index--) {
    const shorter = attempt(candidates[index] ?? 1);
    if (!shorter || shorter.cost > best.cost * WORTH) break;
    best = shorter;
  }
  if (!best || best.cost > MOST_OPERATIONS) return undefined;
  // Where the round begins makes a difference too: best where little is under way, and no input has just been looked at.
  const { edges } = best.columns;
  const all = [best];
  const stride = Math.ceil(edges / 2 / MOST_BEGINS);
  for (let later = stride; later < edges / 2; later += stride) {
    const columns = new Columns(laterOn(orbit, later), edges / 2);
    const round = unroll(ticking, fixed, columns, recorded);
    if (round) all.push({ columns, round, cost: costOf(round) / (edges / 2) });
  }
  all.sort((one, other) => one.cost - other.cost);
  const least = all[0]?.cost ?? 0;
  const judged = all
    .filter(({ cost }) => cost <= NEARLY_AS_GOOD * least)
    .slice(0, MOST_JUDGED)
    .map((one) => {
      const inputs = inputsInRound(ticking, wanted.inputs, fixed, one.round, recorded);
      return { ...one, inputs, exact: inputs.places.filter((place) => place === "exact").length };
    });
  return judged.reduce(
    (one, other) => (other.exact < one.exact ? other : one),
    judged[0] ?? { ...best, inputs: undefined, exact: 0 },
  );
}

/** A begin of a round may cost so many times as much as the best if inputs can be taken the better; so many are looked at. */
const NEARLY_AS_GOOD = 1.3;
const MOST_JUDGED = 3;

/** Begins of a round that are tried. */
const MOST_BEGINS = 6;

/** The same orbit, begun so many periods later. */
function laterOn(orbit: Orbit, periods: number): Orbit {
  const from = 2 * periods * orbit.words;
  const levels = new Uint32Array(orbit.levels.length);
  levels.set(orbit.levels.subarray(from));
  levels.set(orbit.levels.subarray(0, from), levels.length - from);
  return { ...orbit, ahead: orbit.ahead + periods, levels };
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
