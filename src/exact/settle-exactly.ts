import type { Circuit } from "../circuit/index.js";
import { type Witness, marginOf, witnessOfCases } from "../evidence/index.js";
import type { Fs } from "../quantity/index.js";
import { NoProgress } from "../simulation/index.js";
import type { Clock, Proof, Verdict } from "../timing/index.js";
import { acceptIn, worstFirst } from "../verdict/index.js";
import { canBeDecided, isTouched, isOpen } from "./open-verdicts.js";
import { ExactStage } from "./stage.js";

/** A proof of which some verdicts were decided case by case. */
export interface SettledExactly {
  readonly proof: Proof;
  /** Boards that fail by what was decided and on which no other was found to be as bad, by the name of the verdict. */
  readonly witnesses: ReadonlyMap<string, Witness>;
  readonly cost: ExactCost;
}

/** What the exact stage has cost. */
export interface ExactCost {
  /** Verdicts that it changed. */
  readonly decided: number;
  /** Calls of the solver of linear programmes. */
  readonly solverCalls: number;
  /** Milliseconds in the solver and in the whole stage; 0 without a clock. */
  readonly solverTime: number;
  readonly time: number;
}

const FREE: ExactCost = { decided: 0, solverCalls: 0, solverTime: 0, time: 0 };

export interface ExactOptions {
  readonly clock?: Clock;
  /** Called with the share that is done, 0 to 1; return false to stop with what was found. */
  readonly onProgress?: (share: number) => boolean | undefined;
}

/**
 * Decides exactly what the bounds leave open, where the circuit comes back soon: failures that no board shows at the margin
 * that was proved, and margins that hold but are bounds. A verdict whose meaning rests on which side of its capture a change
 * is meant to come stays as it is.
 */
export function settleExactly(circuit: Circuit, proof: Proof, options: ExactOptions = {}): SettledExactly {
  const stage = canBeDecided(proof) ? stageOf(circuit, proof, options) : undefined;
  if (!stage) return { proof, witnesses: new Map(), cost: FREE };
  let isOver = false;
  const began = options.clock?.() ?? 0;
  const decided = proof.verdicts.map((verdict, index): Verdict => {
    isOver ||= options.onProgress?.(index / proof.verdicts.length) === false;
    if (isOver || !(isOpen(verdict) || isTouched(verdict, proof.verdicts))) return verdict;
    return stage.settle(verdict);
  });
  const witnesses = new Map<string, Witness>();
  const shown = decided.map((verdict) => {
    const witness = verdict.state === "fails" ? witnessOfCases(circuit, verdict, proof) : undefined;
    const seen = withShown(verdict, witness && marginOf(witness, verdict), witness?.isWorst ?? false);
    if (witness && seen.shown?.margin === marginOf(witness, verdict)) witnesses.set(verdict.name, witness);
    return seen;
  });
  // A failure that is none, or less bad than it was taken for, is accepted anew.
  const bare = shown.map(({ accepted: _accepted, ...verdict }): Verdict => verdict);
  const { verdicts, idleAcceptances } = acceptIn(bare, circuit.accepted, () => "time");
  const cost: ExactCost = {
    decided: verdicts.filter(({ exact }) => exact !== undefined).length,
    solverCalls: stage.work.solverCalls,
    solverTime: stage.work.solverTime,
    time: (options.clock?.() ?? 0) - began,
  };
  return { proof: { ...proof, verdicts: worstFirst(verdicts), idleAcceptances }, witnesses, cost };
}

/** What boards show of a verdict that was decided: the worse of what was found of the bounds' failure and of its own board. */
function withShown(verdict: Verdict, margin: Fs | undefined, isWorst: boolean): Verdict {
  const { shown, ...bare } = verdict;
  if (!verdict.exact || !(shown || margin !== undefined)) return verdict;
  if (verdict.state !== "fails") return bare;
  if (margin !== undefined && margin <= (shown?.margin ?? Infinity)) return { ...bare, shown: { margin, isWorst } };
  return { ...bare, ...(shown && { shown: { ...shown, isWorst: shown.margin === verdict.margin } }) };
}

function stageOf(circuit: Circuit, proof: Proof, { clock }: ExactOptions): ExactStage | undefined {
  try {
    return new ExactStage(circuit, proof, clock);
  } catch (error) {
    if (error instanceof NoProgress) return undefined;
    throw error;
  }
}
