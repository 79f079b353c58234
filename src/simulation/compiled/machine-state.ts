import type { PlannedInput } from "./planned-inputs.js";
import type { FoundDoubt } from "./stepper.js";

/** All that a machine holds at one moment: levels, memories, inputs to come. Good for machines of the same circuit. */
export interface MachineState {
  /** Femtoseconds. */
  readonly now: number;
  /** Levels of signals, contents of memories, and counts of writes, as they lie in the machine's memory. */
  readonly bytes: Uint8Array;
  /** Edges that each oscillator has made. */
  readonly edges: readonly number[];
  readonly planned: readonly PlannedInput[];
  readonly doubts: readonly FoundDoubt[];
}
