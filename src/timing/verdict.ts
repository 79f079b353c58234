import type { Change, Edge } from "../parts/index.js";
import type { Fs } from "../quantity/index.js";
import type { RuleName } from "./check.js";
import type { Accepted, Certificate, Judged } from "../verdict/index.js";
import type { Occasion } from "./occasion.js";
import type { SynchroniserTime } from "./synchroniser-time.js";

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
  /** What causes the change, and what changes; absent for wires. */
  readonly edge?: Edge;
  readonly change?: Change;
  /** Stands for several arcs of the same limits, or for several ways of which it has the widest limits. */
  readonly isOneOfSeveral?: true;
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

/** An edge of the oscillator, so many periods from the occasion's, or an edge from outside. */
export interface ChainStart {
  readonly edge: Edge;
  readonly ticks: number;
  /** The net of an edge from outside. */
  readonly outside?: string;
}

/** What lies between the edges at which two chains start. */
export interface Between {
  readonly text: string;
  readonly time: Fs;
  readonly earlier: ChainStart;
  readonly later: ChainStart;
  /** Which of their limits the oscillator's period and high time count with; absent where they do not count. */
  readonly period?: "min" | "max";
  readonly high?: "min" | "max";
}

/** The two chains of delays whose gap is the available time. */
export interface Chains {
  readonly earlier: readonly ChainStep[];
  readonly later: readonly ChainStep[];
  /** From the edge that the earlier chain starts at to that of the later one, as far as it counts. */
  readonly between: Between;
  /** Whether the gap is taken at its least, as nearly always, or at its most. */
  readonly gap: "least" | "most";
}

/** A failure as a board within all limits showed it. */
export interface Shown {
  /** Absent where no time decides. */
  readonly margin?: Fs;
  /** The margin is the one that was proved, so that no board is worse. */
  readonly isWorst: boolean;
}

/** A delay of one board, or a time of its oscillator, in femtoseconds. */
export interface BoardDelay {
  /** As a certificate names it: `U3 A rise to Y fall`. */
  readonly name: string;
  readonly value: Fs;
}

/** What the exact stage found where the bounds do not tell: the two are the same verdict. */
export interface Exact {
  /** What the bounds gave; absent where no time decides. */
  readonly bound?: Fs;
  /** Some board within all limits has the margin, to a femtosecond; else it is a closer bound. */
  readonly isAttained: boolean;
  /** The delays of that board that count. */
  readonly board?: readonly BoardDelay[];
  /** What an outsider needs to check it. */
  readonly certificate: Certificate;
}

/** A rule of the proof, or the lack of what a rule needs. */
export type VerdictRule =
  | RuleName
  | "feedback"
  | "figure"
  | "not described"
  | "driven from outside"
  | "oscillator"
  | "power-up"
  | "processor"
  | "repetition"
  | "strobe"
  | "to come";

/** The worst occurrence of one rule at one place. Times in femtoseconds. */
export interface Verdict extends Judged {
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
  /** Absent where no time decides. For the gap of an undriven net `required` is the gap and `available` the limit. */
  readonly required?: Fs;
  readonly available?: Fs;
  readonly margin?: Fs;
  /** At typical delays, for information only. */
  readonly typicalMargin?: Fs;
  /** What the file allows beyond the available time, contained in it. */
  readonly allowance?: Fs;
  /** What a simulated board showed of a failure; absent where none was run or none shows it. */
  readonly shown?: Shown;
  /** Present where the margin, or that nothing happens, was decided case by case. */
  readonly exact?: Exact;
  /** Figures that it needs and that no sheet on record gives: `U9: 74HC161 ENP hold, 4.5 V`. */
  readonly missing: readonly string[];
  /** How often it was checked in all that was explored. */
  readonly count: number;
  /** Of a synchroniser: how often it fails by staying undecided for too long, as far as that is known. */
  readonly meanTime?: SynchroniserTime;
  /** The first occurrence with the worst margin; absent where nothing occurs. */
  readonly occasion?: Occasion;
  readonly chains?: Chains;
  /** Where the requirement was read; empty where none is. */
  readonly source: string;
  /** What is wrong, what is missing or why it holds, where numbers alone do not say it; may be empty. */
  readonly note: string;
  readonly accepted?: Accepted<Fs>;
}
