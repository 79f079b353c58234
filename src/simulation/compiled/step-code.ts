import { type Bit, BitGraph, FALSE, TRUE } from "./bit-graph.js";
import { GraphEmitter } from "./graph-emitter.js";
import type { Layout } from "./layout.js";
import { type Level, Levels, ONE, ZERO, sure } from "./level.js";
import { Plane, type Vagueness, inputOf, placeOf, storedRest } from "./signal-store.js";
import type { SourceChange, StepPlan } from "./step-plan.js";
import { workOut } from "./work-out.js";
import type { Rest } from "./step-view.js";
import type { Signal, Structure } from "./structure.js";
import { FunctionCode } from "./wasm-writer.js";

/** A change from outside: an edge of an oscillator, or whatever the inputs from outside do at one moment. */
export type OutsideChange = { readonly source: number; readonly edge: 0 | 1 } | { readonly inputs: true };

/** How a step is compiled: all levels known (else it is a doubt), or unknown ones followed. */
export type Mode =
  | { readonly kind: "plain"; readonly vagueness: Vagueness }
  | { readonly kind: "careful"; readonly read: number; readonly write: number };

/** The sources that a change touches, with the edges that they may make. */
export function movesOf(structure: Structure, changes: readonly OutsideChange[]) {
  return changes.flatMap((change): { readonly source: number; readonly edges: readonly (0 | 1)[] }[] => {
    if ("source" in change) return [{ source: change.source, edges: [change.edge] }];
    return structure.sources.flatMap(({ oscillator }, source) => (oscillator ? [] : [{ source, edges: [0, 1] }]));
  });
}

/**
 * Code of one step: it reads the rest from the store and puts the new one there. If there is any doubt it gives 1 and leaves
 * the store as it was, else 0. What has been written to memories is taken back by plain code itself; where unknown levels are
 * followed that is up to the host.
 */
export function compileStep(
  plan: StepPlan,
  layout: Layout,
  changes: readonly OutsideChange[],
  mode: Mode,
): FunctionCode {
  const { structure } = plan;
  const graph = new BitGraph();
  const isCareful = mode.kind === "careful";
  const rest = storedRest(graph, structure, isCareful ? "all" : mode.vagueness);
  const next = (signal: Signal) => {
    const value = graph.input(inputOf(signal, Plane.nextValue));
    if (!isCareful) return { level: sure(value), driven: TRUE };
    const known = graph.input(inputOf(signal, Plane.nextKnown));
    return { level: { value, known }, driven: graph.input(inputOf(signal, Plane.nextDriven)) };
  };
  const sources = sourceChanges(structure, graph, rest, changes, next);
  const result = workOut(plan, graph, rest, sources, { followsUnknown: isCareful });

  const outputs: { readonly place: number; readonly bit: Bit }[] = [];
  const output = (signal: Signal, plane: number, before: Bit, after: Bit) => {
    const input = inputOf(signal, plane);
    if (before !== after) outputs.push({ place: layout.signals + placeOf(input, structure.signalCount), bit: after });
  };
  for (let signal = 0; signal < structure.signalCount; signal++) {
    const [before, after] = [rest.levels[signal], result.rest.levels[signal]];
    if (!before || !after) continue;
    output(signal, Plane.value, before.value, after.value);
    if (isCareful || mode.vagueness.mayBeUnknown(signal)) output(signal, Plane.known, before.known, after.known);
    output(signal, Plane.driven, rest.driven[signal] ?? TRUE, result.rest.driven[signal] ?? TRUE);
  }
  const counts = result.begins
    .flatMap((begins, memory) =>
      begins.map((when, index) => ({ when, port: structure.memories[memory]?.ports[index] ?? 0 })),
    )
    .filter(({ when }) => when !== FALSE);
  const any = graph.any(result.doubts.map(({ when }) => when));
  const roots = [...outputs.map(({ bit }) => bit), ...counts.map(({ when }) => when), any];

  const code = new FunctionCode(0);
  const emitter = new GraphEmitter(
    graph,
    code,
    {
      input: (into, index) => {
        into.constant(0).load(8, layout.signals + placeOf(index, structure.signalCount));
      },
      arrayAt: (memory) => layout.arrayAt[memory] ?? 0,
      ...(isCareful && { careful: { read: mode.read, write: mode.write } }),
    },
    roots,
    result.rest.arrays,
  );
  for (const state of result.rest.arrays) emitter.writeUpTo(state);
  // All is on the stack before the first byte is stored, since later loads would see it.
  for (const { bit } of outputs) {
    code.constant(0);
    emitter.push(bit);
  }
  for (const { port, when } of counts) {
    code
      .constant(0)
      .constant(0)
      .load(32, layout.writeCounts + 4 * port);
    emitter.push(when);
    code.do("add");
  }
  if (any !== FALSE) {
    emitter.push(any);
    code.begin("if");
    emitter.takeBack();
    code.constant(1).do("return").do("end");
  }
  for (const { port } of [...counts].reverse()) code.store(32, layout.writeCounts + 4 * port);
  for (const { place } of [...outputs].reverse()) code.store(8, place);
  return code.constant(0);
}

/** What the outside change sets, as bits of the graph. `next` gives what comes from outside. */
export function sourceChanges(
  structure: Structure,
  graph: BitGraph,
  rest: Rest,
  changes: readonly OutsideChange[],
  next: (signal: Signal) => { readonly level: Level; readonly driven: Bit },
): SourceChange[] {
  const levels = new Levels(graph);
  return changes.flatMap((change): SourceChange[] => {
    if (!("source" in change)) {
      return structure.sources.flatMap(({ signal, oscillator }, source) =>
        oscillator ? [] : [{ source, ...next(signal) }],
      );
    }
    const { oscillator } = structure.sources[change.source] ?? {};
    const level = change.edge === 0 ? ONE : ZERO;
    if (!oscillator?.enable) return [{ source: change.source, level, driven: TRUE }];
    // An oscillator is switched on and off at its own edges.
    const { chip, enable } = oscillator;
    const on = levels.evaluate(enable, (name) => rest.levels[structure.signalOf(chip, name)] ?? ZERO);
    return [{ source: change.source, level, driven: levels.mayBeHigh(on) }];
  });
}
