import type { Source } from "../parts/index.js";
import type { Moment } from "./moment.js";

/** The rules of the proof, in the trade's words. */
export type RuleName =
  | "set-up"
  | "hold"
  | "pulse width"
  | "clock period"
  | "recovery"
  | "memory read"
  | "memory write"
  | "memory cycle"
  | "contention"
  | "undriven"
  | "glitch"
  | "asynchronous signal"
  | "settling";

/** One rule at one place at one moment, as the bounds decide it. Times in femtoseconds. */
export interface Check {
  readonly rule: RuleName;
  readonly chip: string;
  readonly pin: string;
  readonly net: string;
  /** The sheet's symbol of what is required, and the pin it is measured against. */
  readonly symbol: string;
  readonly reference: string;
  readonly required: number;
  /** What there is; `available - required` is the margin. */
  readonly available: number;
  /** The same at typical figures, for information. */
  readonly typical: number;
  /** The two moments that set it: `available` is the least gap between them. Absent where no time decides. */
  readonly earlier?: Moment;
  readonly later?: Moment;
  readonly source?: Source;
  /** Decided by a change as a whole that joins several, whose causes could not be told apart. */
  readonly isJoined?: boolean;
  /** What is wrong or why it holds, where numbers alone do not say it. */
  readonly note?: string;
}

/** Names the place of a check: occurrences at one place are one verdict. */
export function placeOf(check: Check): string {
  return [check.rule, check.symbol, check.chip, check.pin, check.reference, check.net].join("|");
}
