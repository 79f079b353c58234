/** How every state of a part goes on, over whole repetitions of what the part reads. */
export interface StateGraph {
  /** Cycles, each as its states in order. */
  readonly cycles: readonly (readonly number[])[];
  /** By state, the cycle that it runs into. */
  readonly cycleOf: Int32Array;
  /** Most steps from any state into a cycle. */
  readonly mostSteps: number;
}

/** The cycles of a map of states 0 to `next.length - 1` onto themselves, and which state runs into which. */
export function stateGraph(next: Int32Array): StateGraph {
  const cycleOf = new Int32Array(next.length).fill(-1);
  const stepsTo = new Int32Array(next.length);
  const seenFrom = new Int32Array(next.length).fill(-1);
  const cycles: number[][] = [];
  let mostSteps = 0;
  for (let start = 0; start < next.length; start++) {
    const way: number[] = [];
    let state = start;
    for (; cycleOf[state] === -1 && seenFrom[state] !== start; state = next[state] as number) {
      seenFrom[state] = start;
      way.push(state);
    }
    if (cycleOf[state] === -1) {
      const states = way.splice(way.indexOf(state));
      for (const at of states) cycleOf[at] = cycles.length;
      cycles.push(states);
    }
    for (let at = way.pop(); at !== undefined; at = way.pop()) {
      const after = next[at] as number;
      cycleOf[at] = cycleOf[after] as number;
      const steps = (stepsTo[after] as number) + 1;
      stepsTo[at] = steps;
      mostSteps = Math.max(mostSteps, steps);
    }
  }
  return { cycles, cycleOf, mostSteps };
}
