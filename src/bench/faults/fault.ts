import type { Edit } from "../board/variant.js";

/** What goes wrong on breadboards. */
export type FaultKind =
  | "missing"
  | "misplaced"
  | "swapped"
  | "short"
  | "stuck"
  | "absent"
  | "backwards"
  | "unpowered"
  | "wrong part"
  | "wrong level";

/** One thing that may be wrong on a board. */
export interface Fault {
  /** Unique on the board, and the same as long as the circuit is. */
  readonly id: string;
  readonly kind: FaultKind;
  readonly edit: Edit;
  /** What is wrong, in a sentence for the one who built it. */
  readonly text: string;
  /** Where to look: wires by id, or a chip's name. */
  readonly wires: readonly number[];
  readonly chip?: string;
}

/**
 * How often one fault of each kind comes up on breadboards, against each other. Common practice, our own guess: a wire that is
 * missing or makes no contact comes first, then one in a wrong place; a chip that is absent or backwards is seen at a glance.
 */
export const FREQUENCY: Readonly<Record<FaultKind, number>> = {
  missing: 3,
  misplaced: 2,
  swapped: 2,
  stuck: 1,
  unpowered: 1,
  short: 1,
  "wrong level": 1,
  "wrong part": 1,
  absent: 0.5,
  backwards: 0.5,
};

/**
 * What a fault that shorts the supply counts once pins are measured: the supply at its limit is seen before any is probed.
 * Common practice, our own guess.
 */
export const SHORTED_SUPPLY = 0.02;
