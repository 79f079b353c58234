import { countsAgainst } from "../../verdict/index.js";
import { type Outcome, type TimedVerdict, isTimed } from "./outcome.js";

/** A quantity of a board that can be raised until something fails. */
export interface Dimension {
  readonly now: number;
  /** Never gone beyond. */
  readonly most: number;
  /** A limit that times decide is known where it is known so far. */
  readonly step: number;
  /** The share of a value to which a limit is looked for that no time decides. */
  readonly share: number;
  /** What the proof says at a value; undefined where it was given up. */
  readonly at: (value: number) => Outcome | undefined;
  /** The value up to which a verdict's chains hold that were proved at a value. */
  readonly reach: (verdict: TimedVerdict, provedAt: number) => number;
}

/** What was proved at one value. */
export interface ProvedAt {
  readonly value: number;
  readonly outcome: Outcome;
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
  /** Every value that was proved. */
  readonly proved: readonly ProvedAt[];
}

/** Where a search begins, and when it is enough. */
export interface Beginning {
  /** What is proved already. */
  readonly start?: ProvedAt;
  /** The value to try first, where something tells it. */
  readonly first?: number;
  /** The search ends as soon as no value beyond this can hold. */
  readonly least?: number;
}

/** Proofs of one search at most. */
const MOST_PROOFS = 10;

/**
 * Looks for the greatest value at which everything holds. No value beyond what the chains of a proof reach can hold, so each
 * proof cuts off what its own chains rule out; where it holds right at such a cut, the limit is known. Where what fails is no
 * matter of a time, it halves what is left.
 */
export function greatest(dimension: Dimension, { start, first, least = 0 }: Beginning): Limit {
  const { most, step, share, at } = dimension;
  const proved: ProvedAt[] = start ? [start] : [];
  let known: Known = { high: most, isCut: true };
  // No value mends a level, or finds a figure.
  if (start && (start.outcome.electrical.length > 0 || start.outcome.state === "not covered"))
    return { isExact: false, proved };
  if (start) known = learn(dimension, known, start.outcome, start.value);
  for (let proofs = 0; proofs < MOST_PROOFS && known.high > least; proofs++) {
    const { low, high, isCut } = known;
    if (low && high - low.value <= (isCut ? step : share * high)) break;
    const cut = isCut ? high - step / 2 : ((low?.value ?? 0) + high) / 2;
    const value: number = proofs === 0 ? Math.min(cut, first ?? cut) : cut;
    if (value <= least) break;
    const outcome = at(value);
    if (outcome) proved.push({ value, outcome });
    known = outcome ? learn(dimension, known, outcome, value) : { ...known, high: value, isCut: false };
  }
  const { low, high } = known;
  const fails = high < most && { fails: high };
  if (!low) return { isExact: false, ...fails, proved };
  const { value, outcome } = low;
  const binding = outcome.verdicts
    .filter(isTimed)
    .find((verdict) => verdict.state === "holds" && dimension.reach(verdict, value) <= value + step);
  const isExact = binding !== undefined || value >= most - step;
  return { value, outcome, ...(binding && { binding }), ...fails, isExact, proved };
}

/** What is known of a limit so far. */
interface Known {
  /** The greatest value that was proved to hold. */
  readonly low?: ProvedAt;
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
  // Where chains rule out more than the value, what else fails may be gone there.
  return { ...known, high: Math.min(cut, value), isCut: cut < value };
}

/** The value beyond which some chain of a proof fails. */
function reachOf({ reach }: Dimension, { verdicts }: Outcome, value: number): number {
  const counted = verdicts.filter(isTimed).filter((verdict) => verdict.state === "holds" || countsAgainst(verdict));
  return counted.reduce((least, verdict) => Math.min(least, reach(verdict, value)), Infinity);
}
