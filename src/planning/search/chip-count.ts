import { type Counts, type LogicFamily, type VideoOutput, bitsToCount, needsLoadDrivers, totalOf } from "../design.js";
import type { SharingKind } from "./sharing-costs.js";

/** What the number of chips depends on besides counts, memory, logic and sharing. */
export interface ChipFacts {
  readonly bitsPerDot: number;
  /** Rows of dots of one character; 1 of a bitmap. */
  readonly characterRows: number;
  /** Dots that a cell shows on a line. */
  readonly cellDots: number;
  readonly isText: boolean;
  /** Periods of the oscillator that one phase lasts. */
  readonly phasePeriods: number;
  /** The phase in nanoseconds. */
  readonly times: { readonly phase: number };
}

/**
 * Chips of a plan, the oscillator can among them, as the circuit that is written of it has them: all that is no gate is counted,
 * and gates are taken for as many as such circuits have on average.
 */
export function countChips(
  facts: ChipFacts,
  line: Counts,
  frame: Counts,
  output: VideoOutput["kind"],
): (memoryBytes: number, family: LogicFamily, sharing: SharingKind) => number {
  const { bitsPerDot, isText, characterRows, cellDots } = facts;
  const nibbles = (states: number) => Math.ceil(bitsToCount(states) / 4);
  const isPowerOfTwo = Number.isInteger(Math.log2(characterRows));
  const counters = nibbles(totalOf(line)) + nibbles(totalOf(frame)) + (isPowerOfTwo ? 0 : 1);
  const dots = bitsPerDot === 8 ? 2 : bitsPerDot * Math.ceil(cellDots / 8);
  const drivers = bitsPerDot === 8 && output !== "composite 15 kHz" ? 2 : 1;
  // The ROM and the register of the code.
  const text = isText ? 2 : 0;
  const base = RING + counters + SYNC + dots + drivers + text;
  const visible = GATE_CHIPS_PER_ONE * onesIn(line.active);
  return (memoryBytes, family, sharing) => {
    // A driver and a latch for each eight bits of the address.
    const address = 2 * Math.ceil(Math.log2(memoryBytes) / 8);
    const { chips, gateChips } = PARTS_OF[sharing];
    const gates = GATE_CHIPS[family][output === "VGA" ? "VGA" : "television"] + visible + gateChips;
    return base + phaseChips(facts, family, sharing) + address + chips + Math.round(gates);
  };
}

const RING = 2;
/** The flip-flops of the syncs. */
const SYNC = 1;

/**
 * Chips of gates beside those of the sharing, by least squares over 200 written circuits of all kinds: what is visible of a line
 * takes the more gates the more ones the number of its cells has.
 */
const GATE_CHIPS: Readonly<Record<LogicFamily, { readonly VGA: number; readonly television: number }>> = {
  HC: { VGA: 6.2, television: 10.4 },
  fast: { VGA: 9, television: 13.4 },
};
const GATE_CHIPS_PER_ONE = 0.4;

function onesIn(count: number): number {
  let ones = 0;
  for (let rest = count; rest > 0; rest = Math.floor(rest / 2)) ones += rest % 2;
  return ones;
}

/** What a way of sharing takes. */
interface SharingParts {
  /** RAMs, and chips of the processor's side that hang on no count, the reset's second stage among them. */
  readonly chips: number;
  /** By the same circuits; of those that are not written, by what the writer would make. */
  readonly gateChips: number;
  /** Flip-flops of its strobes: of those that nothing clears, those that the reset clears, and those clocked by themselves. */
  readonly strobes: Readonly<Record<LogicFamily, number>>;
  readonly cleared: Readonly<Record<LogicFamily, number>>;
  readonly flops: Readonly<Record<LogicFamily, number>>;
}

const PARTS_OF: Readonly<Record<SharingKind, SharingParts>> = {
  // RAM, data latch, request, synchroniser.
  "write latch": {
    chips: 4,
    gateChips: 0,
    strobes: { HC: 1, fast: 1 },
    cleared: { HC: 0, fast: 1 },
    flops: { HC: 1, fast: 0 },
  },
  // RAM, data buffer, register of what is read, reset.
  "alternate slots": {
    chips: 4,
    gateChips: 1,
    strobes: { HC: 4, fast: 4 },
    cleared: { HC: 3, fast: 4 },
    flops: { HC: 3, fast: 0 },
  },
  "blanking only": {
    chips: 4,
    gateChips: 1,
    strobes: { HC: 1, fast: 1 },
    cleared: { HC: 0, fast: 1 },
    flops: { HC: 1, fast: 0 },
  },
  // As the write latch, and a register of what is read; whether it reads or writes is one of the flip-flops.
  "wait states": {
    chips: 5,
    gateChips: 2,
    strobes: { HC: 3, fast: 4 },
    cleared: { HC: 3, fast: 4 },
    flops: { HC: 3, fast: 1 },
  },
  // Two RAMs with data latches, request, synchroniser, which bank is shown, selectors of its byte.
  "two banks": {
    chips: 9,
    gateChips: 1,
    strobes: { HC: 2, fast: 2 },
    cleared: { HC: 0, fast: 2 },
    flops: { HC: 2, fast: 0 },
  },
};

/** The oscillator, what makes the clock of a phase of it, and what registers strobes, loads and enables. */
function phaseChips(
  { phasePeriods, isText, bitsPerDot, times }: ChipFacts,
  family: LogicFamily,
  sharing: SharingKind,
): number {
  const { strobes, cleared, flops } = PARTS_OF[sharing];
  const isSlow = family === "HC";
  const halvings = Math.max(0, Math.ceil(Math.log2(phasePeriods)));
  const clockGates = isSlow && halvings === 0 ? 1 : 0;
  const clock = 1 + clockGates + Math.ceil((halvings + flops[family] + (isSlow && isText ? 1 : 0)) / 2);
  // Fast logic registers a condition first, and what loads once more.
  const loads = isSlow ? (bitsPerDot === 8 ? 2 : 1) : bitsPerDot === 8 ? 3 : 2;
  const registered = RESET_STAGES + loads + (isText ? 1 : 0) + strobes[family];
  // Those that nothing need clear fill the chip of those that the reset clears.
  const isShared = registered % 6 <= (6 - (cleared[family] % 6)) % 6;
  const registers = isShared
    ? Math.ceil((registered + cleared[family]) / 6)
    : Math.ceil(registered / 6) + Math.ceil(cleared[family] / 6);
  const loading = needsLoadDrivers(family, bitsPerDot, times.phase) ? 2 : 1;
  return clock + registers + (isSlow ? 0 : loading);
}

const RESET_STAGES = 2;
