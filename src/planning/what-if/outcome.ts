import type { Circuit } from "../../circuit/index.js";
import { judgeElectrical, underLoad } from "../../electrical/index.js";
import { ProofStopped, type Verdict, prove } from "../../timing/index.js";
import { countsAgainst } from "../../verdict/index.js";

/** What the bounds say of one variant of a circuit. */
export interface Outcome {
  readonly state: "holds" | "fails" | "not covered";
  readonly verdicts: readonly Verdict[];
  /** Timing verdicts that count against it, worst first. */
  readonly failing: readonly Verdict[];
  /** Electrical verdicts that count against it, by name. */
  readonly electrical: readonly string[];
  /** The verdict with the least margin of those that the file does not accept; absent where none has one. */
  readonly tightest?: TimedVerdict;
}

/** A verdict that a time decides. */
export type TimedVerdict = Verdict & Required<Pick<Verdict, "margin" | "chains">>;

export function isTimed(verdict: Verdict): verdict is TimedVerdict {
  return verdict.margin !== undefined && verdict.chains !== undefined;
}

/**
 * Proves a circuit's timing by bounds and judges its levels. Undefined where `mayGoOn` gave it up, or where no proof can be
 * made of it.
 */
export function outcomeOf(
  circuit: Circuit,
  mostTicks: number | undefined,
  mayGoOn: () => boolean,
): Outcome | undefined {
  try {
    const { verdicts } = prove(underLoad(circuit), {
      ...(mostTicks !== undefined && { mostTicks }),
      onProgress: mayGoOn,
    });
    return withVerdicts(circuit, verdicts);
  } catch (error) {
    if (error instanceof ProofStopped || error instanceof RangeError) return undefined;
    throw error;
  }
}

/** Electrical verdicts that fail and count against a circuit, by name. */
export function failingLevels(circuit: Circuit): readonly string[] {
  return judgeElectrical(circuit)
    .verdicts.filter((one) => countsAgainst(one) && one.state === "fails")
    .map(({ name }) => name);
}

/** What the timing verdicts of a circuit and its levels come to. */
export function withVerdicts(circuit: Circuit, verdicts: readonly Verdict[]): Outcome {
  const failing = verdicts.filter(countsAgainst);
  const electrical = failingLevels(circuit);
  const isShort = failing.some(({ state }) => state !== "not covered") || electrical.length > 0;
  const timed = verdicts.filter(isTimed).filter((one) => one.state === "holds" || countsAgainst(one));
  const [first, ...others] = timed;
  return {
    state: isShort ? "fails" : failing.length > 0 ? "not covered" : "holds",
    verdicts,
    failing,
    electrical,
    ...(first && { tightest: others.reduce((least, one) => (one.margin < least.margin ? one : least), first) }),
  };
}
