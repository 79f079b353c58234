import type { Fs } from "../quantity/index.js";
import type { MeasuredDelay } from "./measured.js";

/** Where a figure was read. */
export interface Source {
  readonly publisher: string;
  readonly document: string;
  readonly title?: string;
  readonly table?: string;
  readonly url?: string;
  /** The figure was recalled, not read; every output that rests on it says so. */
  readonly fromMemory: boolean;
  /** Which column and condition: `max85, 4.5 V, 50 pF`. */
  readonly column?: string;
  /** The builder's own parts file that states it, where it is not the project's. */
  readonly ownFile?: string;
  /** The builder measured it on chips at hand; no maker promises it of others. */
  readonly measured?: true;
}

export type Edge = "rise" | "fall";

/** What an output does: an edge, or driving begun or given up. */
export type Change = "rise" | "fall" | "z-to-high" | "z-to-low" | "high-to-z" | "low-to-z";

/** The limits of one arc: one input pin and edge to one output pin and change. */
export interface Delay {
  readonly min: Fs;
  /** Typical at 25 °C; where no sheet gives one, 0.58 of the maximum (the mean ratio over 167 HC rows read). */
  readonly typical: Fs;
  readonly max: Fs;
  /** `assumed` where no sheet states a minimum and the circuit file's choice applies. */
  readonly minimumIs: "stated" | "assumed";
  /** Of the maximum. */
  readonly source: Source;
  /** Of the minimum, where another row than the maximum's decided it. */
  readonly minimumSource?: Source;
  /** Where the builder measured the arc on this chip: the sheet's limits, and what was measured. */
  readonly narrowing?: { readonly sheet: Delay; readonly measured: MeasuredDelay };
}

/** What a chip asks of the signals at its pins, in the trade's words. */
export type RequirementKind = "set-up" | "hold" | "width high" | "width low" | "recovery" | "clock period" | "memory";

/** One required time. All are minima. */
export interface Requirement {
  readonly kind: RequirementKind;
  /** The sheet's symbol: `tsu`, `th`, `tw`, `tWP`. */
  readonly symbol: string;
  readonly time: Fs;
  readonly source: Source;
}

/** A figure that no sheet on record gives. `what` says exactly which: `74AC74 CLK to Q, 4.5 V`. */
export interface Missing {
  readonly missing: string;
}

export function isMissing(figure: object): figure is Missing {
  return "missing" in figure;
}

/**
 * The timing symbols of memories. Minima: tRC tOH tLZ* tOW and all write times but tWHZ. Maxima: tAA tACE tOE tHZ* tWHZ.
 */
export type MemorySymbol =
  | "tRC"
  | "tAA"
  | "tACE"
  | "tOE"
  | "tOH"
  | "tLZCE"
  | "tHZCE"
  | "tLZOE"
  | "tHZOE"
  | "tWC"
  | "tAW"
  | "tCW"
  | "tAS"
  | "tWP"
  | "tDW"
  | "tDH"
  | "tWR"
  | "tOW"
  | "tWHZ";

/**
 * The numbers of one part under the circuit's supply, ambient, makers' choice and policy for unstated minima. Pins are the
 * behaviour's names.
 */
export interface Figures {
  /**
   * Limits of an arc. A memory answers for its arcs too: address to data [tOH, tAA], select [tLZCE, tACE], output enable
   * [tLZOE, tOE], release [0, tHZCE], [0, tHZOE], write release [0, tWHZ] and return [tOW, tAA].
   */
  delay(from: string, fromEdge: Edge, to: string, change: Change): Delay | Missing;
  /** Set-up or hold of `pin` against the clock, enable or strobe pin `reference`. Hold may be negative. */
  window(kind: "set-up" | "hold", pin: string, reference: string): Requirement | Missing;
  /** Least high or low time of a clock, latch enable, clear, preset, load or strobe pin. */
  width(pin: string, level: "high" | "low"): Requirement | Missing;
  /** Release of asynchronous `pin` to the next edge of clock `reference`. */
  recovery(pin: string, reference: string): Requirement | Missing;
  /** Least clock period at `pin` (one over the guaranteed clock frequency). */
  period(pin: string): Requirement | Missing;
  /** A memory's own time by symbol; Missing for parts that are no memory. */
  memory(symbol: MemorySymbol): Requirement | Missing;
}
