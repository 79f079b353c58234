import type { Acceptance } from "../circuit/index.js";
import type { Quantity } from "../quantity/index.js";
import type { Accepted, Judged } from "./judged.js";

/** An acceptance in the file that accepts nothing. */
export interface IdleAcceptance {
  readonly acceptance: Acceptance;
  readonly why: "no such verdict" | "holds" | "not a failure" | "another unit";
}

/**
 * Marks the failures that the file accepts. An acceptance lapses when the margin is worse than accepted; where no number
 * decides there is nothing to get worse.
 */
export function acceptIn<V extends Judged>(
  verdicts: readonly V[],
  acceptances: readonly Acceptance[],
  quantityOf: (verdict: V) => Quantity,
): { readonly verdicts: readonly V[]; readonly idleAcceptances: readonly IdleAcceptance[] } {
  const byVerdict = new Map(acceptances.map((acceptance) => [acceptance.verdict, acceptance]));
  const marked = verdicts.map((verdict): V => {
    const acceptance = byVerdict.get(verdict.name);
    if (!acceptance || idleReason(acceptance, verdict, quantityOf) !== undefined) return verdict;
    return { ...verdict, accepted: acceptedOf(acceptance, verdict) };
  });
  const byName = new Map(verdicts.map((verdict) => [verdict.name, verdict]));
  const idleAcceptances = acceptances.flatMap((acceptance): IdleAcceptance[] => {
    const why = idleReason(acceptance, byName.get(acceptance.verdict), quantityOf);
    return why === undefined ? [] : [{ acceptance, why }];
  });
  return { verdicts: marked, idleAcceptances };
}

/** Acceptances that accept nothing among the verdicts of any of several engines. */
export function idleInAll(...lists: readonly (readonly IdleAcceptance[])[]): readonly IdleAcceptance[] {
  const [first = [], ...others] = lists;
  return first.flatMap(({ acceptance, why }) => {
    const same = others.map((list) => list.find((idle) => idle.acceptance === acceptance));
    if (same.includes(undefined)) return [];
    const reasons = [why, ...same.flatMap((idle) => idle?.why ?? [])];
    return [{ acceptance, why: reasons.find((reason) => reason !== "no such verdict") ?? why }];
  });
}

function idleReason<V extends Judged>(
  { margin }: Acceptance,
  verdict: V | undefined,
  quantityOf: (verdict: V) => Quantity,
): IdleAcceptance["why"] | undefined {
  if (!verdict) return "no such verdict";
  if (verdict.state === "holds") return "holds";
  if (verdict.state !== "fails") return "not a failure";
  return verdict.margin !== undefined && margin.quantity !== quantityOf(verdict) ? "another unit" : undefined;
}

function acceptedOf({ reason, margin: { amount } }: Acceptance, { margin }: Judged): Accepted {
  return { reason, margin: amount, lapsed: margin !== undefined && margin < amount };
}
