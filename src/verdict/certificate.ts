/** So many times an unknown of a certificate, by its number there. */
export type Term = readonly [unknown: number, factor: number];

/** A constant of the board that nobody knows, within limits in femtoseconds. */
export interface CertificateUnknown {
  /** `U3 A rise to Y fall`, `wire U3 Y to U4 B`, `period`, `high time`. */
  readonly name: string;
  readonly min: number;
  readonly max: number;
}

/**
 * Shows the least value of a sum: the sum times `parts`, less each condition so many times, is at its least with every
 * unknown at the end of its limits that makes it so. Conditions are the decisions that are not forced, in their order, each
 * turned so that it is not negative, then that the high time is not below its least share of the period, and not above its
 * most.
 */
export interface CertificateMultipliers {
  readonly parts: number;
  readonly counts: readonly number[];
}

/** The order of two edges, as a case takes it. */
export interface CertificateDecision {
  /** The time of one edge less that of the other. */
  readonly difference: readonly Term[];
  /** Taken as not negative; else as not positive. */
  readonly isLater: boolean;
  /** Shows that it follows from the limits and the decisions before it; absent where both ways are cases. */
  readonly forcedBy?: CertificateMultipliers;
}

/** A time between two edges that a rule looks at. */
export interface CertificateGap {
  readonly gap: readonly Term[];
  /** Not more than the gap, in femtoseconds; of a change on the other side of its capture not more than its negative. */
  readonly least: number;
  readonly isOtherSide: boolean;
  readonly multipliers: CertificateMultipliers;
}

/** One case: what it takes, and every gap that there then is. */
export interface CertificateCase {
  readonly decisions: readonly CertificateDecision[];
  readonly gaps: readonly CertificateGap[];
}

/** Two groups of edges that a rule holds against each other, in one oscillator period for all that are alike. */
export interface CertificatePair {
  readonly tick: number;
  /** How many pairs differ from it in their oscillator periods only. */
  readonly times: number;
  readonly cases: readonly CertificateCase[];
}

/** That an output has the same edges on every board near an oscillator period, whatever comes in which order. */
export interface CertificateSure {
  /** `U3 Y`. */
  readonly driver: string;
  readonly tick: number;
  readonly edges: number;
  readonly cases: readonly (readonly CertificateDecision[])[];
}

/** What somebody needs who wants to check an exact verdict without the program that found it. Times in femtoseconds. */
export interface Certificate {
  readonly unknowns: readonly CertificateUnknown[];
  /** Least and most share of the period that the oscillator is high, each as numerator and denominator. */
  readonly duty: readonly [least: readonly [number, number], most: readonly [number, number]];
  readonly sure: readonly CertificateSure[];
  readonly pairs: readonly CertificatePair[];
  /** No board has less time; absent where only edges were counted. */
  readonly least?: number;
}
