import type { Circuit } from "../circuit/index.js";
import type { Proof, Verdict } from "../timing/index.js";
import { worstFirst } from "../verdict/index.js";
import { type Witness, findWitnesses, marginOf } from "./witness.js";

/** A proof whose failures were looked for on boards. */
export interface Settled {
  readonly proof: Proof;
  /** By the name of the verdict. */
  readonly witnesses: ReadonlyMap<string, Witness>;
}

/**
 * Looks for a board on which each failure happens. A failure that no board shows may be a false alarm of the bounds: it is
 * not settled. Feedback and the like are no matter of delays, and stay as they are.
 */
export function settle(circuit: Circuit, proof: Proof, onProgress?: (share: number) => boolean | undefined): Settled {
  const { cycleTicks, leadTicks } = proof;
  const failures = proof.verdicts.filter((verdict) => verdict.state === "fails" && verdict.occasion !== undefined);
  if (failures.length === 0 || cycleTicks === 0) return { proof, witnesses: new Map() };
  const witnesses = findWitnesses(circuit, failures, { cycleTicks, leadTicks, ...(onProgress && { onProgress }) });
  const looked = new Set(failures);
  const verdicts = proof.verdicts.map((verdict): Verdict => {
    if (!looked.has(verdict)) return verdict;
    const witness = witnesses.get(verdict.name);
    if (!witness) return { ...verdict, state: "not settled" };
    const margin = marginOf(witness, verdict);
    return { ...verdict, shown: { isWorst: witness.isWorst, ...(margin !== undefined && { margin }) } };
  });
  return { proof: { ...proof, verdicts: worstFirst(verdicts) }, witnesses };
}
