import type { Fs } from "../quantity/index.js";

export type VerdictState = "holds" | "fails" | "not settled" | "not covered";

/** One arc of a chain that sets a margin, with what it adds at least and at most and where that is read. */
export interface ChainStepView {
  /** `U3 74HC163 CLK to QA`. */
  readonly label: string;
  readonly min: Fs;
  readonly max: Fs;
  /** Document and column in a line; empty where no sheet speaks (a wire). */
  readonly source: string;
  /** The minimum is not stated in the sheet but follows from the file's assumption. */
  readonly assumed: boolean;
  /** The figure was recalled, not read. */
  readonly fromMemory: boolean;
}

/** The worst occurrence of one rule at one place, with how often it was checked. */
export interface VerdictView {
  /** `set-up`, `memory read access`. */
  readonly rule: string;
  readonly state: VerdictState;
  /** `U7 A`, or a net where no one pin is meant. */
  readonly place: string;
  /** `74HC166, load`: what stands at the place; may be empty. */
  readonly placeNote: string;
  /** Absent where a figure is missing. */
  readonly required?: Fs;
  readonly available?: Fs;
  readonly margin?: Fs;
  /** How many times the rule was checked at this place in all that was explored. */
  readonly count: number;
  /** `tick 37, column 4, line 12`. */
  readonly moment: string;
  readonly launch: readonly ChainStepView[];
  readonly capture: readonly ChainStepView[];
  /** Which figure is missing, what the margin rests on, what to do; may be empty. */
  readonly note: string;
}

/** Worst first: failures by margin, then what is not covered or not settled, then what holds by margin. */
export function worstFirst(verdicts: readonly VerdictView[]): VerdictView[] {
  const rank: Readonly<Record<VerdictState, number>> = { fails: 0, "not covered": 1, "not settled": 2, holds: 3 };
  // A failure without a margin is as bad as can be; what holds without one is in no danger.
  const margin = (v: VerdictView) =>
    v.margin ?? (v.state === "holds" ? Number.MAX_SAFE_INTEGER : Number.MIN_SAFE_INTEGER);
  return [...verdicts].sort((a, b) => rank[a.state] - rank[b.state] || margin(a) - margin(b));
}
