import type { Femtofarads, Fs, Microvolts, Nanoamps, Range } from "../quantity/index.js";
import type { Missing, Source } from "./figures.js";

/** A typical capacitance over the greatest where a sheet prints the greatest alone: that of 74HC inputs, 3.5 of 10 pF. */
export const TYPICAL_OF_GREATEST = 0.35;

/** What an input is made of: an open CMOS input floats, an open bipolar one reads high. */
export type Technology = "CMOS" | "NMOS" | "bipolar";

/** A level that holds at one supply. Between two of them the sheet's figures lie on a line. */
export interface SupplyPoint {
  readonly supply: Microvolts;
  readonly level: Microvolts;
}

/** An output's level at one supply and current. */
export interface CurrentPoint extends SupplyPoint {
  readonly current: Nanoamps;
}

/** What an input pin asks of its net. Currents are sizes: at high they flow in, at low out of it (CMOS: either way). */
export interface InputFigures {
  readonly technology: Technology;
  /** VIH and VIL, by supply, ascending; a Schmitt input's VT+ at most and VT- at least. */
  readonly high: readonly SupplyPoint[];
  readonly low: readonly SupplyPoint[];
  readonly isSchmitt: boolean;
  readonly currentHigh: Nanoamps;
  readonly currentLow: Nanoamps;
  readonly capacitance: Femtofarads;
  /** The sheet gives a typical capacitance only. */
  readonly isTypicalCapacitance: boolean;
  /** What a net's charge can be counted with. */
  readonly typicalCapacitance: Femtofarads;
  /** The highest voltage that the pin stands, or its own supply. */
  readonly upTo: Microvolts | "supply";
  /** How slow an edge may be at most, in femtoseconds per volt, by supply. Absent where no limit is stated. */
  readonly slowestEdge?: { readonly points: readonly { supply: Microvolts; perVolt: Fs }[]; readonly source: Source };
  readonly levelSource: Source;
  readonly currentSource: Source;
  readonly capacitanceSource: Source;
}

/** How long an output's edge takes from 10 to 90 % of its swing. */
export interface Transition {
  readonly supply: Microvolts;
  readonly time: Fs;
  readonly load: Femtofarads;
  /** Growth beyond that load, in femtoseconds per femtofarad (ns per pF over a thousand times a thousand). */
  readonly perFemtofarad: number;
  readonly source: Source;
  /** Where the growth was read; absent where none is on record. */
  readonly slopeSource?: Source;
}

/** What an output pin gives. */
export interface OutputFigures {
  readonly technology: Technology;
  /** `standard`, `bus driver`. */
  readonly kind: string;
  /** VOH and VOL by supply and current, ascending in both. */
  readonly high: readonly CurrentPoint[];
  readonly low: readonly CurrentPoint[];
  /** A CMOS output whose high level lies below its supply by the same drop at any higher supply. */
  readonly followsSupply: boolean;
  /** What it takes or gives while it is switched off, at either level. */
  readonly offCurrentHigh: Nanoamps;
  readonly offCurrentLow: Nanoamps;
  readonly offCapacitance: Femtofarads;
  readonly typicalOffCapacitance: Femtofarads;
  /** Load for which its delays are printed, and their growth beyond it in ns per pF; no slope where none is on record. */
  readonly testLoad: Femtofarads;
  readonly slope?: { readonly rise: number; readonly fall: number; readonly source: Source };
  /** The greatest load that the sheet allows. */
  readonly mostLoad?: Femtofarads;
  /** How many inputs for TTL levels it allows instead. */
  readonly mostInputs?: number;
  readonly transition?: Transition;
  readonly highSource: Source;
  readonly lowSource: Source;
  readonly offSource: Source;
}

/** The DC figures of one part under an ambient. */
export interface LevelFigures {
  /** The supply for which the sheet guarantees them, in volts. */
  readonly supplyVolts: Range;
  readonly supplySource: Source;
  /** Missing where no sheet on record gives the pin's figures for the ambient. */
  input(pin: string): InputFigures | Missing;
  output(pin: string): OutputFigures | Missing;
}
