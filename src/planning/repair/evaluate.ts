import { type Circuit, type ReadOptions, readCircuit } from "../../circuit/index.js";
import { judgeElectrical, underLoad } from "../../electrical/index.js";
import { type Proof, ProofStopped, type Verdict, prove } from "../../timing/index.js";
import { countsAgainst } from "../../verdict/index.js";
import type { Evaluation } from "./repair.js";

/** What a proof of a changed text may take. */
export interface ProofLimits {
  /** Oscillator periods within which the circuit must come back to a state. */
  readonly mostTicks?: number;
  /** Asked every few milliseconds; false gives the proof up. */
  readonly mayGoOn?: () => boolean;
}

/** Proves a text: bounds and levels, without boards that show the failures. A text with mistakes has no circuit, nor has one of which the proof
 * was given up. */
export function evaluateText(text: string, file: string, options: ReadOptions, limits: ProofLimits = {}): Evaluation {
  const { circuit } = readCircuit(text, file, options);
  const proof = circuit && proofOf(circuit, limits);
  if (!proof) return { failing: [], electrical: [], activity: new Map(), ticks: 0 };
  const { verdicts, cycleTicks, leadTicks } = proof;
  const failing = verdicts.filter(countsAgainst);
  const held = verdicts.flatMap(({ state, margin }) => (state === "holds" && margin !== undefined ? [margin] : []));
  const electrical = judgeElectrical(circuit).verdicts.filter(
    (verdict) => countsAgainst(verdict) && verdict.state === "fails",
  );
  return {
    circuit,
    ticks: cycleTicks + leadTicks,
    failing,
    activity: activityOf(verdicts, cycleTicks + leadTicks),
    electrical: electrical.map(({ name }) => name),
    ...(held.length > 0 && { leastMargin: Math.min(...held) }),
  };
}

/** Undefined where the proof was stopped, or cannot be made of such a circuit. */
function proofOf(circuit: Circuit, { mostTicks, mayGoOn }: ProofLimits): Proof | undefined {
  try {
    return prove(underLoad(circuit), {
      ...(mostTicks !== undefined && { mostTicks }),
      onProgress: () => mayGoOn?.() ?? true,
    });
  } catch (error) {
    // A gate that feeds itself, as a change may make of one, is refused by the proof in one way or another.
    if (error instanceof ProofStopped || error instanceof RangeError) return undefined;
    throw error;
  }
}

/** Rules whose checks come each time that something is clocked, written or read. */
const OF_ACTIVITY: ReadonlySet<string> = new Set([
  "set-up",
  "hold",
  "memory write",
  "memory read",
  "memory cycle",
  "pulse width",
  "clock period",
]);

function activityOf(verdicts: readonly Verdict[], ticks: number): ReadonlyMap<string, number> {
  const rates = new Map<string, number>();
  for (const { rule, symbol, chip, pin, count } of verdicts) {
    if (!OF_ACTIVITY.has(rule) || ticks === 0) continue;
    const place = `${rule} ${symbol} ${chip} ${pin}`;
    rates.set(place, Math.max(rates.get(place) ?? 0, count / ticks));
  }
  return rates;
}
