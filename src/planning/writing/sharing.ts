import type { Block, WrittenInput } from "./board.js";
import type { Way } from "./decode.js";
import type { Gate } from "./gates.js";

/** A quick flip-flop beside the one that halves the clock, 74AHCT74. */
export interface ClockFlop {
  readonly note: string;
  readonly clock: string;
  readonly data: string;
  readonly q: string;
  readonly qLow: string;
  /** What holds it cleared; nothing when absent. */
  readonly clear?: string;
}

/** What is decoded in one phase and stands in the next: a flip-flop of the 74ACT174 on DOT. */
export interface Strobe {
  readonly data: string;
  readonly q: string;
}

/** How a processor comes to the RAM: what that asks of the phases, its own block, and what comes from outside. */
export interface SharingParts {
  readonly clockFlops: readonly ClockFlop[];
  readonly strobes: readonly Strobe[];
  readonly gates: readonly Gate[];
  readonly choices: readonly (readonly Way[])[];
  readonly block: Block;
  readonly inputs: readonly WrittenInput[];
  /** Taps of the ring that it reads beside those that are always there: `T3#`, `SAMPLE`. */
  readonly ringTaps: readonly string[];
  /** Nets that go to the processor's board. */
  readonly connector: readonly string[];
  /** Phases in a row in which nobody drives the data wires. */
  readonly undrivenPhases: number;
  /** The RAM's output enable. */
  readonly memoryEnable: string;
  /** Lines for the head of the file: what is active in which phase. */
  readonly picture: readonly string[];
}

/** Phase 4 only, for the flip-flop that then gives WRITE in phase 5. */
export function writeNext(condition: string): Gate {
  return {
    kind: "AND",
    inputs: ["T2", "T4", condition],
    output: "WRITE_NEXT",
    remark: "both taps are high in phase 4 only",
  };
}
