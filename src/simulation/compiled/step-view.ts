import type { ArrayState, Bit, BitGraph } from "./bit-graph.js";
import type { Level, Levels } from "./level.js";
import type { Ordering } from "./ordering.js";
import type { Signal, Structure } from "./structure.js";

/** What a circuit holds at rest, as levels of a graph. */
export interface Rest {
  /** Of every signal. */
  readonly levels: readonly Level[];
  /** Of every signal: whether anything drives it. Only nets that are shared, and sources, may be undriven. */
  readonly driven: readonly Bit[];
  /** Of every memory. */
  readonly arrays: readonly ArrayState[];
}

/** What a signal does between one rest and the next: the levels that it takes, the last one being its new level. */
export interface SignalChange {
  readonly stages: readonly Level[];
  /** True where it may pulse besides, which hangs on delays. */
  readonly glitch: Bit;
}

/** A place where the outcome hangs on delays, or where something unknown was taken. */
export interface Doubt {
  readonly kind: DoubtKind;
  /** True where it is so. */
  readonly when: Bit;
  /** Where it matters: the storage bit or the memory. */
  readonly place: string;
  /** Names of the nets between which the order is open, or of the net at fault. */
  readonly nets: readonly string[];
  /** The storage bit, where it is one. */
  readonly bit?: Signal;
}

export type DoubtKind =
  /** A change of data or of another strobe may come before or after the strobe. */
  | "race"
  /** A strobe may pulse. */
  | "pulse"
  /** The address moves while a write goes on. */
  | "address moves"
  /** A loop comes to no rest, or to one or another. */
  | "loop"
  /** Storage takes a level that is unknown, or nobody's. */
  | "unknown";

/** The working-out of one outside change, as its parts see it. */
export interface StepView {
  readonly structure: Structure;
  readonly ordering: Ordering;
  readonly graph: BitGraph;
  readonly levels: Levels;
  /** The rest before. */
  readonly rest: Rest;
  /** Where unknown levels are followed; else one that is taken is a doubt. */
  readonly followsUnknown: boolean;
  /**
   * Whether every order of changes that is open is tried, and doubts are told exactly. Else a doubt is only a suspicion: the
   * step is to be worked out again thoroughly.
   */
  readonly isThorough: boolean;
  /** The new level of a signal; of one that is not worked out yet, the old one. */
  now(signal: Signal): Level;
  /** The new level of a net as it is without what one port drives onto it. */
  netWithout(net: Signal, port: number): Level;
  /** Whether anything drives a signal, before and now. */
  drives(signal: Signal): { readonly before: Bit; readonly now: Bit };
  /**
   * Whether a signal may move at all, be it there and back; of a net, by others than one port. To be asked once all new
   * levels are known.
   */
  stirs(signal: Signal, withoutPort?: number): Bit;
  /** The same on ways from the outside change that do not lead through another signal. */
  stirsBeside(signal: Signal, other: Signal): Bit;
  /** Whether a signal has another level than before. */
  changed(signal: Signal): Bit;
  /** What a signal that can change does. */
  changeOf(signal: Signal): SignalChange;
  /** Whether every pulse of a signal counts. */
  isStrobe(signal: Signal): boolean;
  /** Adds a doubt; one that is never true is left out. */
  doubt(doubt: Doubt): void;
  /** Has something done once all new levels are known. */
  afterwards(act: () => void): void;
  /** True where a storage bit was found to be in doubt when this step was worked out before. */
  doubtOf(signal: Signal): Bit;
}
