import type { Measure, Quantity } from "../quantity/index.js";
import type { Judged } from "../verdict/index.js";
import type { ElectricalRule } from "./rules.js";

/** One line of the arithmetic behind an electrical verdict. */
export interface ReckoningLine {
  /** `VOH of U3 74LS163 QA at 0.1 mA`. */
  readonly text: string;
  /** Absent on a line that only says something. */
  readonly figure?: Measure;
  /** How the figure comes about, where it is reckoned: `5 × 20 µA`. */
  readonly working?: string;
  /** Where the figure was read, as `sourceLine` prints it; absent where none is stated. */
  readonly source?: string;
  readonly mark?: "from memory" | "common practice" | "measured" | "circuit file";
}

/** The worst case of one electrical rule at one place. The three figures are in the base unit of `quantity`. */
export interface ElectricalVerdict extends Judged {
  readonly rule: ElectricalRule;
  readonly quantity: Quantity;
  /** The sheet's symbol of what is required: `VIH`; empty where there is none. */
  readonly symbol: string;
  /** What is judged: usually a receiver. Empty where the rule is about a net or the board. */
  readonly chip: string;
  readonly part: string;
  readonly pin: string;
  readonly net: string;
  /** The other side of it: `U22 1Q`, the driver; may be empty. */
  readonly reference: string;
  readonly required?: number;
  readonly available?: number;
  /** What is left of it: negative where it fails. Absent where no number decides. */
  readonly margin?: number;
  /** How many pins, or pairs of pins, this verdict stands for. */
  readonly count: number;
  /** What the rule asks here, in a sentence. */
  readonly demand: string;
  /** What is wrong, what is missing or why it holds, where numbers alone do not say it; may be empty. */
  readonly note: string;
  /** What the builder can do about it, best first; empty where it holds. */
  readonly remedies: readonly string[];
  /** The arithmetic, line by line, down to the margin. */
  readonly reckoning: readonly ReckoningLine[];
}

/** A margin as a share of the larger of what is required and available, so that volts can stand beside milliamperes. */
export function relativeMargin({ margin, required = 0, available = 0 }: ElectricalVerdict): number | undefined {
  if (margin === undefined) return undefined;
  return margin / Math.max(Math.abs(required), Math.abs(available), 1);
}
