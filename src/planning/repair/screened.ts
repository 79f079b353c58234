import type { Change } from "./change.js";

/** A change that was simulated. */
export interface Screened {
  readonly change: Change;
  readonly text: string;
  /** Places at which a board did what it should not. */
  readonly faults: number;
  /** Clocks that stood still. */
  readonly still: number;
  /** Places at which little was to spare. */
  readonly doubts: number;
}

/** A change whose first trial did not come to an end. */
export interface Ended {
  readonly screened: Screened;
  /** Something fails; else it took too long. */
  readonly isFailing: boolean;
  /** Oscillator periods that were proved before that. */
  readonly ticks: number;
}

export function byDoubts(one: Screened, other: Screened): number {
  return one.still - other.still || one.doubts - other.doubts;
}
