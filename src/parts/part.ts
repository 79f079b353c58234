import type { Range, Fs } from "../quantity/index.js";
import type { Behaviour } from "./behaviour.js";
import type { Figures, Source } from "./figures.js";
import type { Processor, ProcessorGrade } from "./processors.js";

/** A package pin: its number on the package and the behaviour's name for it. */
export interface PackagePin {
  readonly number: number;
  readonly name: string;
}

export interface Package {
  /** `DIP-16`. */
  readonly name: string;
  readonly pins: readonly PackagePin[];
  /** False where the part exists only in packages that do not fit a breadboard. */
  readonly isDual: boolean;
  readonly source: Source;
  /** How far the pin order was compared with the sheet: `all pins`, `14 of 16 pins, no conflict`. */
  readonly checked: string;
}

/** The period and duty of an oscillator can. */
export interface Oscillation {
  /** Nominal frequency in hertz as a fraction of whole numbers, exact. */
  readonly hertz: { readonly numerator: bigint; readonly denominator: bigint };
  /** Limits of the period, rounded outwards to whole femtoseconds. */
  readonly period: Range<Fs>;
  /** Limits of high time over period, 0 to 1. */
  readonly duty: Range;
  readonly source: Source;
}

/** A behaviour joined to the figures that hold for it in one circuit. */
export interface Part {
  /** The full part number as the circuit file writes it: `74HC163`, `62256-70`. */
  readonly number: string;
  /** `HC`, `AHCT`, `SRAM`, `oscillator`. */
  readonly family: string;
  /** The family, or the memory, on record whose levels and loads it has, where it is a builder's own. */
  readonly levelsAs?: string;
  readonly behaviour: Behaviour;
  readonly package: Package;
  readonly figures: Figures;
  /** Present on oscillator cans only. */
  readonly oscillation?: Oscillation;
  /** Present on processors only; with the grade where the part number names one. */
  readonly processor?: { readonly record: Processor; readonly grade?: ProcessorGrade };
}
