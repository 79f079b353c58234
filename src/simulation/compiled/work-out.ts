import { type Bit, type BitGraph, FALSE, TRUE } from "./bit-graph.js";
import { Step } from "./step.js";
import type { SourceChange, StepOptions, StepPlan, StepResult } from "./step-plan.js";
import type { Doubt, Rest } from "./step-view.js";
import type { Signal } from "./structure.js";

/** Works out, as a graph, the rest that follows on an outside change. */
export function workOut(
  plan: StepPlan,
  graph: BitGraph,
  rest: Rest,
  changes: readonly SourceChange[],
  options: StepOptions = {},
): StepResult {
  return new Step(plan, plan.ordering, graph, rest, options, new Map()).run(changes);
}

/**
 * The same for levels that are constants, trying every order of changes that is open. Only signals that do move are causes.
 * Storage in doubt is unknown in the end, which may put more in doubt, so all is gone over again until nothing comes up any
 * more. `beforePass` is called each time before.
 */
export function workOutThoroughly(
  plan: StepPlan,
  graph: BitGraph,
  rest: Rest,
  changes: readonly SourceChange[],
  beforePass: () => void,
): StepResult {
  const options = { followsUnknown: true, isThorough: true };
  const doubtful = new Map<Signal, Bit>();
  const doubts = new Map<string, Doubt>();
  for (;;) {
    beforePass();
    const whole = new Step(plan, plan.ordering, graph, rest, options, doubtful);
    whole.run(changes);
    const ordering = plan.ordering.restrictedTo((signal) => whole.stirs(signal) !== FALSE);
    beforePass();
    const result = new Step(plan, ordering, graph, rest, options, doubtful).run(changes);
    const before = doubts.size;
    for (const doubt of result.doubts) {
      doubts.set(`${doubt.kind} ${doubt.place} ${doubt.nets.join(" ")}`, doubt);
      if (doubt.bit !== undefined) doubtful.set(doubt.bit, TRUE);
    }
    if (doubts.size === before) return { ...result, doubts: [...doubts.values()] };
  }
}
