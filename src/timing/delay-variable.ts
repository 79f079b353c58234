import type { Fs } from "../quantity/index.js";
import type { Change, Edge, Source } from "../parts/index.js";

/**
 * One unknown of the uncertainty model, anywhere within its limits: an arc of a chip, a wire from one driver to one receiver,
 * or a delay that the file states for an outside signal.
 */
export interface DelayVariable {
  readonly id: number;
  readonly kind: "arc" | "wire" | "outside";
  readonly min: Fs;
  readonly typical: Fs;
  readonly max: Fs;
  /** Where the variable is: `U7 CLK to QA, rise`, `wire U7 QA to U9 D`. */
  readonly label: string;
  /** `U7`; empty for outside delays. */
  readonly chip: string;
  readonly part: string;
  readonly from: string;
  readonly to: string;
  /** What causes the change and what changes; absent for wires. */
  readonly edge?: Edge;
  readonly change?: Change;
  /**
   * True on the way of data, which no clock, enable or strobe can share: among chains that differ in such variables only, the
   * longest or shortest stands for all.
   */
  readonly isPrivate: boolean;
  /**
   * What has one value throughout is a constant of the whole frame; a delay outside has another value each time; several
   * ways taken as one have no value that two of their edges share.
   */
  readonly value: "throughout" | "each time" | "none";
  /** True where no sheet states the minimum and the file's assumption holds. */
  readonly assumedMinimum: boolean;
  readonly source?: Source;
}
