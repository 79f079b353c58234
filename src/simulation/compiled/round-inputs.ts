import type { Fixed, Ticking } from "./autonomous.js";
import { type Bit, FALSE, TRUE } from "./bit-graph.js";
import { GraphEmitter } from "./graph-emitter.js";
import type { Layout } from "./layout.js";
import { sure } from "./level.js";
import type { Packing } from "./round-code.js";
import { PLANES, Plane, inputOf, placeOf } from "./signal-store.js";
import type { SourceChange, StepPlan } from "./step-plan.js";
import { workOut } from "./work-out.js";
import type { Signal } from "./structure.js";
import { hangsOn, hangsOnlyOn } from "./support.js";
import { type UnrolledRound, shown } from "./unrolled.js";
import { FunctionCode } from "./wasm-writer.js";

/**
 * Where a change of inputs may be taken that comes in a round, so that all is as if it were taken at its own time: as the
 * round begins, when it has ended, or nowhere else.
 */
export type InputPlace = "begin" | "end" | "exact";

/** How changes of inputs are taken between rounds. */
export interface RoundInputs {
  /** Of each number of edges of the round that have come before the change. */
  readonly places: readonly InputPlace[];
  /** Storage bits that inputs change, with their new level, and whether that is in doubt. */
  readonly changes: ReadonlyMap<Signal, Bit>;
  readonly doubt: Bit;
  /** Sources whose level matters only by what it changes at once: nothing else in the round looks at it. */
  readonly passing: ReadonlySet<number>;
}

/**
 * Finds out when inputs matter in a round: storage that they change is the same for whoever looks at it before and after the
 * edges that hang on it. Where a change from outside looks at what the round itself changes, or shows at a recorded net at
 * once, it has to be taken at its own time.
 */
export function inputsInRound(
  { structure }: Ticking,
  plan: StepPlan,
  fixed: Fixed,
  round: UnrolledRound,
  recorded: readonly Signal[],
): RoundInputs {
  const { graph, rests, touched } = round;
  const changing: SourceChange[] = structure.sources.flatMap(({ signal, oscillator }, source) =>
    oscillator || fixed.has(source)
      ? []
      : [{ source, level: sure(graph.input(inputOf(signal, Plane.nextValue))), driven: TRUE }],
  );
  const results = rests.map((rest) => workOut(plan, graph, rest, changing));
  const held = structure.bits.map(({ signal }) => signal);
  const [begin, first] = [rests[0], results[0]];
  const changes = new Map<Signal, Bit>();
  if (!begin || !first) return { places: [], changes, doubt: TRUE, passing: new Set() };
  for (const signal of held) {
    const [old, now] = [begin.levels[signal]?.value, first.rest.levels[signal]?.value];
    if (now !== undefined && now !== old) changes.set(signal, now);
  }

  const fromInputs = new Set([...changes.keys(), ...changing.map(({ source }) => structure.sources[source]?.signal)]);
  const isInput = (input: number) => fromInputs.has(Math.floor(input / PLANES));
  const hangs = hangsOn(graph, isInput);
  const only = hangsOnlyOn(graph, isInput);
  const doubts = new Set(first.doubts.map(({ when }) => when));
  const used = touched.flatMap((bits, edge) => (bits.some((bit) => hangs[bit] === 1) ? [edge] : []));
  const [firstUse, lastUse] = [used[0] ?? Infinity, used.at(-1) ?? -1];

  // What the inputs change must hang on nothing else, or it would be worked out from what is not there between rounds.
  const isOwn = [...changes.values()].every((bit) => only[bit] === 1);
  const places = rests.map((rest, edge): InputPlace => {
    const result = results[edge];
    if (!result || !isOwn) return "exact";
    const isLike = held.every((signal) => {
      const [old, now] = [rest.levels[signal]?.value, result.rest.levels[signal]?.value];
      const [oldFirst, nowFirst] = [begin.levels[signal]?.value, first.rest.levels[signal]?.value];
      return old === oldFirst ? now === nowFirst : now === old && nowFirst === oldFirst;
    });
    const isSeen = recorded.some((net) => {
      const [old, now] = [rest.levels[net], result.rest.levels[net]];
      return old && now && shown(graph, old) !== shown(graph, now);
    });
    const writes = result.rest.arrays.some((array, memory) => array !== rest.arrays[memory]);
    const isSure = result.doubts.every(({ when }) => doubts.has(when) && only[when] === 1);
    if (!isLike || isSeen || writes || !isSure) return "exact";
    if (edge <= firstUse) return "begin";
    return edge > lastUse ? "end" : "exact";
  });
  const shownAt = rests.flatMap(({ levels }) => recorded.map((net) => levels[net]?.value ?? FALSE));
  const looked = [...touched.flat(), ...shownAt];
  const passing = changing.flatMap(({ source }) => {
    const signal = structure.sources[source]?.signal ?? 0;
    const on = hangsOn(graph, (input) => input === inputOf(signal, Plane.value));
    return isOwn && looked.every((bit) => on[bit] === 0) ? [source] : [];
  });
  return {
    places,
    changes,
    doubt: graph.any([...doubts].filter((bit) => only[bit] === 1)),
    passing: new Set(passing),
  };
}

/**
 * `effect()`: 0 where the inputs' next levels, taken between rounds, change no storage, 1 where they do, 2 where anything is
 * in doubt. `take()`: takes them to the storage that they change, in the state's words.
 */
export function inputsCode(
  { structure }: Ticking,
  layout: Layout,
  { graph }: UnrolledRound,
  { changes, doubt }: RoundInputs,
  state: Packing,
  stateAt: number,
): { readonly effect: FunctionCode; readonly take: FunctionCode } {
  const input = (code: FunctionCode, index: number) => {
    const kept = index % PLANES === Plane.value ? state.places.get(Math.floor(index / PLANES)) : undefined;
    if (!kept) return void code.constant(0).load(8, layout.signals + placeOf(index, structure.signalCount));
    code.constant(0).load(32, stateAt + 4 * kept.word);
    code.constant(kept.index).do("shiftRight").constant(1).do("and");
  };
  const host = { input, arrayAt: (memory: number) => layout.arrayAt[memory] ?? 0 };

  const effect = new FunctionCode(0);
  const moved = graph.any(
    [...changes].map(([signal, bit]) => graph.xor(bit, graph.input(inputOf(signal, Plane.value)))),
  );
  const both = [graph.or(moved, doubt), doubt];
  const effectEmitter = new GraphEmitter(graph, effect, host, both, []);
  for (const bit of both) effectEmitter.push(bit);
  effect.do("add");

  const take = new FunctionCode(0);
  const words = new Map<number, Bit[]>();
  for (const [signal, { word, index }] of state.places) {
    const bits = words.get(word) ?? [];
    words.set(word, bits);
    while (bits.length <= index) bits.push(FALSE);
    bits[index] = changes.get(signal) ?? graph.input(inputOf(signal, Plane.value));
  }
  const changed = [...words].filter(([word]) =>
    [...changes.keys()].some((signal) => state.places.get(signal)?.word === word),
  );
  const emitter = new GraphEmitter(
    graph,
    take,
    host,
    changed.flatMap(([, bits]) => bits),
    [],
  );
  for (const [, bits] of changed) {
    take.constant(0);
    emitter.pushWord(bits);
  }
  for (const [word] of [...changed].reverse()) take.store(32, stateAt + 4 * word);
  take.constant(0);
  return { effect, take };
}
