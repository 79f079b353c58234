import type { Fixed, Ticking } from "./autonomous.js";
import { type ArrayState, type Bit, BitGraph, FALSE, TRUE } from "./bit-graph.js";
import type { Column, Columns } from "./columns.js";
import { type Level, ONE, ZERO, sure } from "./level.js";
import { type Track, tracksOf } from "./recording.js";
import { settledRest } from "./settled.js";
import { PLANES, Plane, inputOf } from "./signal-store.js";
import type { StepResult } from "./step-plan.js";
import { workOut } from "./work-out.js";
import type { Rest } from "./step-view.js";
import type { Signal, Structure } from "./structure.js";
import { hangsOnlyOn } from "./support.js";

/** A change that is recorded: of which track, after which edge of the round, and to what. */
export interface Sample {
  readonly track: Track;
  readonly step: number;
  readonly bit: Bit;
}

/** One round worked out, with what runs on its own already known. */
export interface UnrolledRound {
  readonly graph: BitGraph;
  /** What stands for an input of the graph: a column, or (undefined) a level that the store holds. */
  readonly columnOf: (input: number) => Column | undefined;
  /** Storage bits that do not run on their own, with their levels at the end of the round. */
  readonly after: ReadonlyMap<Signal, Bit>;
  readonly arrays: readonly ArrayState[];
  /** True where anything is in doubt that is not known beforehand to be in none. */
  readonly doubt: Bit;
  /** Of each port: for every edge, true where a write begins. */
  readonly begins: readonly (readonly Bit[])[];
  readonly samples: readonly Sample[];
  /** Of every node whether it hangs on columns alone. */
  readonly isKnownBefore: Uint8Array;
  /** The rest before each edge, and after the last. */
  readonly rests: readonly Rest[];
  /** Of each edge: all that it changes for good, writes with what they hang on, and its doubts. */
  readonly touched: readonly (readonly Bit[])[];
}

/**
 * Works a round out, edge by edge. Levels of bits that run on their own come from the columns; doubts that hang on them alone
 * have been looked at while their orbit was followed. `recorded` are nets whose every change is wanted.
 */
export function unroll(
  { structure, oscillator, rise, fall }: Ticking,
  fixed: Fixed,
  columns: Columns,
  recorded: readonly Signal[],
): UnrolledRound | undefined {
  const graph = new BitGraph();
  const firstColumn = structure.signalCount * PLANES;
  const listed: Column[] = [];
  const numbers = new Map<string, number>();
  const own = new Set(columns.orbit.bits);
  const ownLevel = (bit: Signal, step: number): Level => {
    const at = columns.at(bit, step);
    if (typeof at === "number") return at === 1 ? ONE : ZERO;
    const key = `${at.bit} ${at.step}`;
    const number = numbers.get(key) ?? listed.push(at) - 1;
    numbers.set(key, number);
    return sure(graph.input(firstColumn + number));
  };
  const sourceOf = new Map(structure.sources.map(({ signal }, source) => [signal, source]));
  let rest = settledRest(graph, structure, (signal) => {
    if (own.has(signal)) return ownLevel(signal, -1);
    const source = sourceOf.get(signal);
    if (source === oscillator) return ZERO;
    const level = source === undefined ? undefined : fixed.get(source);
    return level === undefined ? sure(graph.input(inputOf(signal, Plane.value))) : level === 1 ? ONE : ZERO;
  });
  if (!rest) return undefined;

  const rests: Rest[] = [rest];
  const touched: Bit[][] = [];
  const doubts: Bit[] = [];
  const begins: Bit[][] = structure.ports.map(() => []);
  const samples: Sample[] = [];
  for (let step = 0; step < columns.edges; step++) {
    const isRise = step % 2 === 0;
    const change = { source: oscillator, level: isRise ? ONE : ZERO, driven: TRUE };
    const before = rest;
    const accesses = graph.accesses.length;
    const result = workOut(isRise ? rise : fall, graph, before, [change], {
      given: (signal) => (own.has(signal) ? ownLevel(signal, step) : undefined),
    });
    rest = result.rest;
    rests.push(rest);
    touched.push(touchedBy(graph, structure, before, result, accesses));
    doubts.push(...result.doubts.map(({ when }) => when));
    result.begins.forEach((all, memory) => {
      all.forEach((bit, index) => begins[structure.memories[memory]?.ports[index] ?? 0]?.push(bit));
    });
    for (const track of tracksOf(recorded)) {
      const [old, now] = [before, rest].map(({ levels }) => recordedBit(graph, levels, track));
      if (now === undefined || now === old) continue;
      samples.push({ track, step, bit: now });
      touched.at(-1)?.push(now);
    }
  }
  const isKnownBefore = hangsOnlyOn(graph, (input) => input >= firstColumn);
  const after = new Map<Signal, Bit>();
  for (const { signal } of structure.bits) {
    if (!own.has(signal)) after.set(signal, rest.levels[signal]?.value ?? FALSE);
  }
  return {
    graph,
    columnOf: (input) => listed[input - firstColumn],
    after,
    arrays: rest.arrays,
    doubt: graph.any(doubts.filter((bit) => bit === TRUE || isKnownBefore[bit] !== 1)),
    begins,
    samples,
    isKnownBefore,
    rests,
    touched,
  };
}

function touchedBy(
  graph: BitGraph,
  structure: Structure,
  before: Rest,
  { rest, doubts }: StepResult,
  accessesBefore: number,
): Bit[] {
  const bits = structure.bits.flatMap(({ signal }) => {
    const [old, now] = [before.levels[signal]?.value, rest.levels[signal]?.value];
    return now === undefined || now === old ? [] : [now];
  });
  for (const access of graph.accesses.slice(accessesBefore)) {
    if (access.kind === "write") graph.forEachOperand(access, (bit) => bits.push(bit));
  }
  return [...bits, ...doubts.map(({ when }) => when)];
}

function recordedBit(graph: BitGraph, levels: Rest["levels"], track: Track): Bit | undefined {
  const level = levels[track < 0 ? ~track : track];
  return level && (track < 0 ? level.known : shown(graph, level));
}

/** What a monitor makes of a level: unknown counts as low. */
export function shown(graph: BitGraph, { value, known }: Level): Bit {
  return graph.and(value, known);
}
