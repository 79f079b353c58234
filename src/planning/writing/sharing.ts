import type { Block, WrittenInput } from "./board.js";
import type { Gate } from "./gates.js";

/** A quick flip-flop of its own, 74ACT74, on DOT or on its inverse. */
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

/** A signal that is active from one phase to another of each cell, or of those in which a net is high. */
export interface Window {
  /** Active low where it ends in `#`. */
  readonly net: string;
  readonly first: number;
  readonly last: number;
  readonly when?: string;
}

/** A net with the only edge of each cell, or of those in which another net is high, that something is taken with. */
export interface Pulse {
  readonly net: string;
  readonly when?: string;
  readonly note: string;
}

/**
 * An output enable of which a gate tells a phase early. RESET# clears its flip-flop: where the gate tells of the enable's level
 * it is low then, and drives from power-up on; where it tells of the opposite, an inverter follows and nobody drives.
 */
export interface Enable {
  readonly net: string;
  readonly soon: Gate;
  /** The gate tells two phases early, and a flip-flop that RESET# clears as well stands between: its net, where there is one. */
  readonly between?: string;
  readonly inReset: "low" | "high";
}

/** How a processor comes to the RAM: what that asks of the phases, its own block, and what comes from outside. */
export interface SharingParts {
  readonly windows: readonly Window[];
  /** Write pulses, inside the processor's phases. */
  readonly writes: readonly Pulse[];
  /** Rises late in the processor's phases, while its byte still stands on the RAM's wires. */
  readonly takes: readonly Pulse[];
  readonly enables: readonly Enable[];
  readonly flops: readonly ClockFlop[];
  readonly gates: readonly Gate[];
  readonly block: Block;
  readonly inputs: readonly WrittenInput[];
  /** Nets that go to the processor's board. */
  readonly connector: readonly string[];
  /** Phases in a row in which nobody drives the data wires. */
  readonly undrivenPhases: number;
  /** Output and write enable of each RAM. */
  readonly memories: readonly MemoryEnables[];
  /** The nets that carry the byte to be shown. */
  readonly shown: string;
  /** Whether the picture's part of line and frame is asked for as the net VISIBLE. */
  readonly needsVisible: boolean;
  /** Whether a net is asked for that turns over in vertical sync alone. */
  readonly needsFrameSync: boolean;
  /** Lines for the head of the file: what is active in which phase. */
  readonly picture: readonly string[];
}

export interface MemoryEnables {
  readonly output: string;
  readonly write: string;
  readonly note: string;
  /** Its data wires. */
  readonly data: string;
}

/** The net of a tap of the ring: high in phases n, n + 1 and n + 2. */
export function tap(n: number): string {
  return `T${((n % 8) + 8) % 8}`;
}

/** One of the two flip-flops of a chip, or the other; nothing of it used when absent. */
export function halfOf(half: 1 | 2, flop: Omit<ClockFlop, "note"> | undefined): Record<string, string> {
  return {
    [`${half}CLK`]: flop?.clock ?? "low",
    [`${half}D`]: flop?.data ?? "low",
    [`${half}PRE#`]: "high",
    [`${half}CLR#`]: flop?.clear ?? "high",
    [`${half}Q`]: flop?.q ?? "open",
    [`${half}Q#`]: flop?.qLow ?? "open",
  };
}
