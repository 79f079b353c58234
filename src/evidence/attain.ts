import type { Circuit } from "../circuit/index.js";
import type { Proof, Verdict } from "../timing/index.js";
import { findWitnesses, marginOf } from "./witness.js";

/** Whether some board is known to have exactly the margin of a verdict, so that it can be stated no better. */
export function isAttained({ shown, exact }: Verdict): boolean {
  return shown?.isWorst === true || exact?.isAttained === true;
}

/** Whether a verdict holds by a time that a board may have. */
export function holdsInTime({ state, margin, chains }: Verdict): boolean {
  return state === "holds" && margin !== undefined && chains !== undefined;
}

/**
 * Looks for boards that have exactly the margins of these verdicts, which hold: `shown` says so of those for which one is
 * found. A margin without such a board is a bound, and may be wider than it need be.
 */
export function attain(
  circuit: Circuit,
  proof: Proof,
  wanted: readonly Verdict[],
  onProgress?: (share: number) => boolean | undefined,
): Proof {
  const { cycleTicks, leadTicks } = proof;
  const open = wanted.filter((verdict) => holdsInTime(verdict) && !isAttained(verdict));
  if (open.length === 0 || cycleTicks === 0) return proof;
  const witnesses = findWitnesses(circuit, open, { cycleTicks, leadTicks, ...(onProgress && { onProgress }) });
  const verdicts = proof.verdicts.map((verdict): Verdict => {
    const witness = open.includes(verdict) ? witnesses.get(verdict.name) : undefined;
    if (!witness?.isWorst) return verdict;
    const margin = marginOf(witness, verdict);
    return { ...verdict, shown: { isWorst: true, ...(margin !== undefined && { margin }) } };
  });
  return { ...proof, verdicts };
}
