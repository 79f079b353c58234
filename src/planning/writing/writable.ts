import { type Plan, designOf } from "../search/plan.js";
import { writingProblems } from "./limits.js";
import { chipsOf } from "./write-circuit.js";

/** Why no circuit of a plan can be written, a clause each; empty where one can. */
export function obstaclesToWriting(plan: Plan): readonly string[] {
  const design = designOf(plan);
  return "notYet" in design ? [`${design.notYet} cannot be written yet`] : writingProblems(design);
}

/** Chips of the circuit that is written of a plan, the oscillator can among them; undefined where none can be. */
export function writtenChips(plan: Plan): number | undefined {
  const design = designOf(plan);
  return "notYet" in design || writingProblems(design).length > 0 ? undefined : chipsOf(design);
}
