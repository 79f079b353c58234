import type { Fs } from "../quantity/index.js";
import type { VerdictState } from "./verdict-view.js";

/** What a lane shows: a steady low or high, nothing driving, some steady value, or a value that may change at any moment. */
export type LaneLevel = 0 | 1 | "z" | "steady" | "may change";

export interface LaneSegment {
  readonly from: Fs;
  readonly to: Fs;
  readonly level: LaneLevel;
  /** Written inside a bus: its owner or its value. */
  readonly label?: string;
}

/** A transition that comes no earlier than `earliest` and is over by `latest`. */
export interface LaneEdge {
  readonly earliest: Fs;
  readonly latest: Fs;
  readonly from: LaneLevel;
  readonly to: LaneLevel;
}

export interface Lane {
  readonly name: string;
  /** `owner` says who has a bus; its labels are words. The others carry nets. */
  readonly kind: "clock" | "signal" | "bus" | "owner";
  /** In order of time, without overlaps; edges fill the gaps. */
  readonly segments: readonly LaneSegment[];
  readonly edges: readonly LaneEdge[];
}

/** A time measured along a lane: what is required, what there is, and what is left over. */
export interface Bracket {
  /** Name of the lane. */
  readonly lane: string;
  readonly from: Fs;
  readonly to: Fs;
  /** `set-up 12 ns`, `+12.4 ns`. */
  readonly label: string;
  readonly kind: "required" | "available" | "margin";
  /** Of a margin; `holds` where nothing is said. */
  readonly state?: VerdictState;
}

/** One arc of a chosen chain: from a moment in one lane to its effect in another. */
export interface PathStep {
  readonly fromLane: string;
  readonly toLane: string;
  readonly from: Fs;
  readonly to: Fs;
  /** `U3 CLK to QA 38 ns`. */
  readonly label: string;
}

/** One memory cycle, or any other span, ready to be drawn. Times count from its begin. */
export interface CycleDrawing {
  /** `Memory cycle of tide-board`. */
  readonly title: string;
  readonly span: Fs;
  /** The oscillator's edges, for the ruler, in order. */
  readonly ticks: readonly Fs[];
  /** In the order in which signals flow. */
  readonly lanes: readonly Lane[];
  readonly brackets: readonly Bracket[];
  readonly path?: readonly PathStep[];
  /** What the times are counted from, where it is not the oscillator alone; a sentence. */
  readonly note?: string;
}
