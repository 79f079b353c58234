import { type Bit, FALSE } from "./bit-graph.js";
import type { CarefulMemory } from "./careful-memory.js";
import { type Level, UNKNOWN_LEVEL } from "./level.js";
import { PresentGraph } from "./present-graph.js";
import { type OutsideChange, sourceChanges } from "./step-code.js";
import type { StepPlan, StepResult } from "./step-plan.js";
import { workOutThoroughly } from "./work-out.js";
import type { Doubt, Rest } from "./step-view.js";
import type { Signal } from "./structure.js";

/** Reads and writes what a machine's store holds. */
export interface SignalBytes {
  get(signal: Signal): { readonly level: Level; readonly driven: Bit };
  put(signal: Signal, level: Level, driven: Bit): void;
  /** What comes from outside next, of a source. */
  next(signal: Signal): { readonly level: Level; readonly driven: Bit };
}

/**
 * Works out one step with the levels as they are, trying every order of changes that is open: slow and exact. Puts the new
 * levels into the store, with what is in doubt unknown, and gives what is in doubt.
 */
export function stepThoroughly(
  plan: StepPlan,
  changes: readonly OutsideChange[],
  signals: SignalBytes,
  memory: CarefulMemory,
): { readonly doubts: readonly Doubt[]; readonly begins: StepResult["begins"] } {
  const { structure } = plan;
  const graph = new PresentGraph(memory);
  const all = Array.from({ length: structure.signalCount }, (_, signal) => signals.get(signal));
  const rest: Rest = {
    levels: all.map(({ level }) => level),
    driven: all.map(({ driven }) => driven),
    arrays: structure.memories.map(() => 0),
  };
  const sources = sourceChanges(structure, graph, rest, changes, (signal) => signals.next(signal));
  memory.mark();
  const result = workOutThoroughly(plan, graph, rest, sources, () => memory.takeBack());
  for (let signal = 0; signal < structure.signalCount; signal++) {
    signals.put(signal, result.rest.levels[signal] ?? UNKNOWN_LEVEL, result.rest.driven[signal] ?? FALSE);
  }
  memory.mark();
  return { doubts: result.doubts, begins: result.begins };
}
