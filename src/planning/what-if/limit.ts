import { countsAgainst } from "../../verdict/index.js";
import { type Outcome, type TimedVerdict, isTimed } from "./outcome.js";

/** A quantity of a board that can be raised until something fails. */
export interface Dimension {
  readonly now: number;
  /** Never gone beyond. */
  readonly most: number;
  /** A limit is known where it is known so far. */
  readonly step: number;
  /** What the proof says at a value; undefined where it was given up. */
  readonly at: (value: number) => Outcome | undefined;
  /** The value up to which a verdict's chains hold that were proved at a value. */
  readonly reach: (verdict: TimedVerdict, provedAt: number) => number;
}

/** How far a quantity can go. */
export interface Limit {
  /** The greatest value at which everything was proved to hold; absent where none was found. */
  readonly value?: number;
  readonly outcome?: Outcome;
  /** What falls short as soon as the value is passed; absent where no time decides there, or where the search ended before. */
  readonly binding?: TimedVerdict;
  /** The least value above it that is known to fail; absent where nothing was found to. */
  readonly fails?: number;
  /** `binding` fails within a step above the value, or nothing fails up to the greatest value that makes sense. */
  readonly isExact: boolean;
}

/** Proofs of one search at most. */
const MOST_PROOFS = 14;

/**
 * Looks for the greatest value at which everything holds. No value beyond what the chains of a proof reach can hold, so each
 * proof cuts off what its own chains rule out; where it holds right at such a cut, the limit is known. Where what fails is no
 * matter of a time, it halves what is left.
 */
export function greatest(dimension: Dimension, start: Outcome, provedAt = dimension.now): Limit {
  const { most, step, at } = dimension;
  let known = learn(dimension, { high: most, isCut: true }, start, provedAt);
  for (let proofs = 0; proofs < MOST_PROOFS && known.high > 0; proofs++) {
    const { low, high, isCut } = known;
    if (low && high - low.value <= step) break;
    const value: number = isCut ? high - step / 2 : ((low?.value ?? 0) + high) / 2;
    const outcome = at(value);
    known = outcome ? learn(dimension, known, outcome, value) : { ...known, high: value, isCut: false };
  }
  const { low, high } = known;
  const fails = high < most && { fails: high };
  if (!low) return { isExact: false, ...fails };
  const { value, outcome } = low;
  const binding = outcome.verdicts
    .filter(isTimed)
    .find((verdict) => verdict.state === "holds" && dimension.reach(verdict, value) <= value + step);
  const isExact = binding !== undefined || value >= most - step;
  return { value, outcome, ...(binding && { binding }), ...fails, isExact };
}

/** What is known of a limit so far. */
interface Known {
  /** The greatest value that was proved to hold. */
  readonly low?: { readonly value: number; readonly outcome: Outcome };
  /** No value beyond it holds, as far as is known. */
  readonly high: number;
  /** Chains say so; else what fails there is no matter of a time. */
  readonly isCut: boolean;
}

function learn(dimension: Dimension, known: Known, outcome: Outcome, value: number): Known {
  const reach = reachOf(dimension, outcome, value);
  const cut = Math.min(known.high, reach);
  // What no time decided stays so until chains reach less far: else every second proof would be next to a value that failed.
  if (outcome.state === "holds")
    return { low: { value, outcome }, high: cut, isCut: known.isCut || reach < known.high };
  const rest = outcome.failing.filter((verdict) => !isTimed(verdict) || dimension.reach(verdict, value) >= value);
  const isCut = rest.length === 0 && outcome.electrical.length === 0;
  return { ...known, high: isCut ? cut : Math.min(known.high, value), isCut };
}

/** The value beyond which some chain of a proof fails. */
function reachOf({ reach }: Dimension, { verdicts }: Outcome, value: number): number {
  const counted = verdicts.filter(isTimed).filter((verdict) => verdict.state === "holds" || countsAgainst(verdict));
  return counted.reduce((least, verdict) => Math.min(least, reach(verdict, value)), Infinity);
}
