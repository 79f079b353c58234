import type { Change } from "../parts/index.js";
import type { Fs } from "../quantity/index.js";
import type { RuleName } from "./check.js";
import type { Occasion } from "./occasion.js";

/** `not settled`: the bounds cannot tell. `not covered`: a figure is missing. Both count like a failure. */
export type VerdictState = "holds" | "fails" | "not settled" | "not covered";

/** What a margin may rest on that no maker promises. */
export type Weakness = "assumed minimum" | "from memory" | "measured";

/** One delay on the way from an edge to a pin. */
export interface ChainStep {
  readonly kind: "arc" | "wire" | "outside";
  /** `U7 74HC163 CLK to QA, rise`, `wire DOT to U3 CLK`. */
  readonly label: string;
  /** `U7`; of a wire the chip that it leads to; empty for a delay outside the circuit. */
  readonly chip: string;
  readonly part: string;
  readonly from: string;
  readonly to: string;
  readonly change?: Change;
  readonly min: Fs;
  readonly max: Fs;
  /** Which of the two limits the margin counts with. */
  readonly used: "min" | "max";
  /** The same delay is on both ways, so it counts on neither. */
  readonly cancelled: boolean;
  /** Where the limit that counts was read. */
  readonly source: string;
  /** No sheet states the minimum; it follows from the circuit file's assumption. */
  readonly assumed: boolean;
  readonly fromMemory: boolean;
  /** The builder measured it on chips at hand. */
  readonly measured?: true;
  /** The figure that no sheet on record gives; the delay then counts as zero and settles nothing. */
  readonly missing?: string;
}

/** The two chains of delays whose gap is the available time. */
export interface Chains {
  readonly earlier: readonly ChainStep[];
  readonly later: readonly ChainStep[];
  /** From the edge that the earlier chain starts at to that of the later one, as far as it counts. */
  readonly between: { readonly text: string; readonly time: Fs };
  /** Whether the gap is taken at its least, as nearly always, or at its most. */
  readonly gap: "least" | "most";
}

/**
 * A verdict's name in three pieces. Those that share head and tail stand together in a summary: `tAS U25` + `A3`,
 * `contention` + `MD0` + `U22/U25`.
 */
export interface NameParts {
  readonly head: string;
  readonly item: string;
  readonly tail: string;
}

/** A failure that the builder accepts; `lapsed` where it has become worse than what was accepted. */
export interface Accepted {
  readonly reason: string;
  readonly margin: Fs;
  readonly lapsed: boolean;
}

/** A rule of the proof, or the lack of what a rule needs. */
export type VerdictRule =
  RuleName | "feedback" | "figure" | "driven from outside" | "oscillator" | "repetition" | "to come";

/** The worst occurrence of one rule at one place. Times in femtoseconds. */
export interface Verdict {
  /** Short, unique, and the same from run to run: `set-up U7 2D`. */
  readonly name: string;
  readonly nameParts: NameParts;
  readonly rule: VerdictRule;
  /** The sheet's symbol of what is required: `tsu`. */
  readonly symbol: string;
  /** Empty where the rule is about a net alone. */
  readonly chip: string;
  readonly part: string;
  readonly pin: string;
  readonly net: string;
  /** The pin that the time is measured against, on the same chip or `U22 1Q` on another; may be empty. */
  readonly reference: string;
  readonly state: VerdictState;
  /** Absent where no time decides. For the gap of an undriven net `required` is the gap and `available` the limit. */
  readonly required?: Fs;
  readonly available?: Fs;
  readonly margin?: Fs;
  /** At typical delays, for information only. */
  readonly typicalMargin?: Fs;
  /** What the file allows beyond the available time, contained in it. */
  readonly allowance?: Fs;
  /** Figures that it needs and that no sheet on record gives: `U9: 74HC161 ENP hold, 4.5 V`. */
  readonly missing: readonly string[];
  /** How often it was checked in all that was explored. */
  readonly count: number;
  /** The first occurrence with the worst margin; absent where nothing occurs. */
  readonly occasion?: Occasion;
  readonly chains?: Chains;
  /** Where the requirement was read; empty where none is. */
  readonly source: string;
  readonly restsOn: readonly Weakness[];
  /** What is wrong, what is missing or why it holds, where numbers alone do not say it; may be empty. */
  readonly note: string;
  readonly accepted?: Accepted;
}

/** Whether a verdict counts against the circuit. */
export function countsAgainst({ state, accepted }: Verdict): boolean {
  return state !== "holds" && (accepted === undefined || accepted.lapsed);
}

/** Worst first: failures by margin, what is not covered or not settled, accepted failures, then what holds by margin. */
export function worstFirst(verdicts: readonly Verdict[]): readonly Verdict[] {
  return [...verdicts].sort(
    (a, b) => rank(a) - rank(b) || marginOf(a) - marginOf(b) || collator.compare(a.name, b.name),
  );
}

const collator = new Intl.Collator("en", { numeric: true });
const ranks: Readonly<Record<VerdictState, number>> = { fails: 0, "not covered": 1, "not settled": 2, holds: 4 };

function rank(verdict: Verdict): number {
  return verdict.state === "fails" && !countsAgainst(verdict) ? 3 : ranks[verdict.state];
}

/** A failure without a margin is as bad as can be; what holds without one is in no danger. */
function marginOf({ margin, state }: Verdict): number {
  return margin ?? (state === "holds" ? Number.MAX_SAFE_INTEGER : -Number.MAX_SAFE_INTEGER);
}
