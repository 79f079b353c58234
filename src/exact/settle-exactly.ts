import type { Circuit } from "../circuit/index.js";
import { fs } from "../quantity/index.js";
import { NoProgress } from "../simulation/index.js";
import type { Clock, Proof, Verdict } from "../timing/index.js";
import { worstFirst } from "../verdict/index.js";
import { certify } from "./certify.js";
import { ExactStage } from "./stage.js";
import type { Work } from "./work.js";

/** A circuit that comes back later is not worked out case by case. */
const MOST_TICKS = 1024;

/** A proof of which some verdicts were decided case by case. */
export interface SettledExactly {
  readonly proof: Proof;
  /** What it has cost; absent where nothing could be decided. */
  readonly work?: Work;
}

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
  const { leadTicks, cycleTicks } = proof;
  if (cycleTicks === 0 || leadTicks + cycleTicks > MOST_TICKS) return { proof };
  const stage = stageOf(circuit, proof, options);
  if (!stage) return { proof };
  let isOver = false;
  const verdicts = proof.verdicts.map((verdict, index): Verdict => {
    isOver ||= options.onProgress?.(index / proof.verdicts.length) === false;
    if (isOver || verdict.state === "not covered" || verdict.shown?.isWorst) return verdict;
    return verdict.rule === "glitch" ? withoutPulse(stage, verdict) : withExactMargin(stage, verdict);
  });
  return { proof: { ...proof, verdicts: worstFirst(verdicts) }, work: stage.work };
}

function stageOf(circuit: Circuit, proof: Proof, { clock }: ExactOptions): ExactStage | undefined {
  try {
    return new ExactStage(circuit, proof, clock);
  } catch (error) {
    if (error instanceof NoProgress) return undefined;
    throw error;
  }
}

function withExactMargin(stage: ExactStage, verdict: Verdict): Verdict {
  const { required, available, margin, allowance = 0 } = verdict;
  if (required === undefined || available === undefined || margin === undefined) return verdict;
  const decided = stage.decide(verdict);
  if ("why" in decided) return verdict;
  const exactly = decided.least + allowance;
  // What is less than the bound is a change that the proof counts on the other side of its capture.
  if (exactly <= available) return verdict;
  const isAttained = decided.onBoard !== undefined && decided.onBoard <= decided.least + 1;
  const { unknowns, certainties } = stage.unrolling;
  const sure = [...certainties.values()].flatMap((known) => (known === "race" ? [] : [known]));
  const certificate = certify(unknowns, decided.pairs, sure, decided.least);
  return {
    ...verdict,
    state: exactly >= required ? "holds" : "fails",
    available: fs(exactly),
    margin: fs(exactly - required),
    exact: { bound: margin, isAttained, certificate },
  };
}

/** Of a glitch: whether every edge at its place comes on every board, so that no pulse can. */
function withoutPulse(stage: ExactStage, verdict: Verdict): Verdict {
  const cases = stage.sureAt(verdict);
  if (!cases) return verdict;
  return {
    ...verdict,
    state: "holds",
    note: "The changes overlap by their limits, but in every order in which they can come there is no pulse.",
    exact: { isAttained: false, certificate: certify(stage.unrolling.unknowns, [], cases) },
  };
}
