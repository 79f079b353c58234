import { type Counts, type LogicFamily, type Sharing, bitsToCount, totalOf } from "../design.js";
import type { LogicProfile } from "./logic-profile.js";
import type { PlanTimes } from "./margin.js";

export type SharingKind = Sharing["kind"];

/** In the order in which plans are counted. */
export const SHARING_KINDS: readonly SharingKind[] = [
  "write latch",
  "alternate slots",
  "blanking only",
  "wait states",
  "two banks",
];

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
}

/**
 * Chips of a plan, the oscillator can among them: an estimate from how the bundled boards are built, which it meets (28 and
 * 30). Counters of four bits, address drivers and latches of eight, one shift register a bit of a dot.
 */
export function countChips(
  { bitsPerDot, isText, characterRows, phasePeriods, cellDots }: ChipFacts,
  line: Counts,
  frame: Counts,
  isComposite: boolean,
): (memoryBytes: number, family: LogicFamily, sharing: SharingKind) => number {
  const nibbles = (states: number) => Math.ceil(bitsToCount(states) / 4);
  const isPowerOfTwo = Number.isInteger(Math.log2(characterRows));
  const counting = nibbles(totalOf(line)) + nibbles(totalOf(frame)) + DECODING + (isPowerOfTwo ? 0 : 1);
  const shifters = bitsPerDot === 8 ? 1 : bitsPerDot * Math.ceil(cellDots / 8);
  const output = (bitsPerDot > 4 ? 2 : 1) + (isComposite ? 1 : 0);
  // The ROM and the latch of the code before it.
  const text = isText ? 2 : 0;
  const base = 2 + dividerChips(phasePeriods) + counting + SYNC + shifters + output + text;
  return (memoryBytes, family, sharing) => {
    const address = Math.ceil(Math.log2(memoryBytes) / 8);
    const phases = family === "HC" ? 3 + (phasePeriods < 2 ? 1 : 0) : 5;
    return base + phases + address + 1 + sharingChips(sharing, address);
  };
}

/** Gates that decode columns and lines, as on the bundled boards. */
const DECODING = 7;
/** The two flip-flops of the syncs. */
const SYNC = 1;

/** Flip-flops that halve the oscillator beyond the one that the clock stage has anyway, two a chip. */
function dividerChips(phasePeriods: number): number {
  const halvings = Math.max(0, Math.ceil(Math.log2(phasePeriods)));
  return Math.ceil(Math.max(0, halvings - 1) / 2);
}

/** Chips of the processor's side, the second stage of the reset among them; `address` drivers or latches of eight bits. */
function sharingChips(sharing: SharingKind, address: number): number {
  switch (sharing) {
    // Address and data latches, request flip-flop, synchroniser; gates let it through in blanking only.
    case "write latch":
    case "blanking only":
      return address + 1 + 2;
    // Address and data buffers, a register for what is read, flip-flops of the enables, the reset's second stage.
    case "alternate slots":
      return address + 1 + 1 + 1 + 1;
    // As the write latch, a register for what is read, a flip-flop for R/W, strobes and enables.
    case "wait states":
      return address + 1 + 2 + 1 + 1 + 2;
    // As the write latch, a second RAM with a data latch, selectors of its data, which bank is shown.
    case "two banks":
      return address + 1 + 2 + 2 + 2 + 1;
  }
}

/** How fast the processor gets at the memory. */
export interface AccessRate {
  /** Bytes a second that it can write, one after the other. */
  readonly bytesPerSecond: number;
  /** The longest time from one write until the next is taken, in nanoseconds. */
  readonly longestWait: number;
}

/** How each is reckoned, for the documents and the reasons. */
export const RATE_FORMULAS: Readonly<Record<SharingKind, string>> = {
  "write latch":
    "the next write may come after the request has passed two samples, one a cell, and its byte is in by the middle of phase 6 of the cell that follows: 2 15/16 cells and the flip-flops",
  "alternate slots": "one byte a cell, the processor being clocked by it",
  "blanking only": "as with a write latch, and the visible part of a line more",
  "wait states":
    "two samples, a cell that reads, one that writes, and the sample that ends them: 5 cells and the flip-flops",
  "two banks": "as with a write latch, into the bank that is not shown; it is seen a frame later at most",
};

/** Bytes a second and longest wait of a way of sharing: what `RATE_FORMULAS` says. Of blanking only, the counts decide. */
export function accessRate(
  sharing: SharingKind,
  { cell }: PlanTimes,
  logic: LogicProfile,
  counts?: { readonly line: Counts },
): AccessRate {
  const { request, synchroniser, ring, strobe } = logic.times;
  const flipFlops =
    request.clockToOutput.max + synchroniser.setUp + ring.clockToOutput.max + strobe.clockToOutput.max + 5 * logic.wire;
  const once = (longestWait: number): AccessRate => ({ bytesPerSecond: 1e9 / longestWait, longestWait });
  const latched = (2 + 15 / 16) * cell + flipFlops;
  switch (sharing) {
    case "write latch":
    case "two banks":
      return once(latched);
    case "alternate slots":
      return once(cell);
    case "wait states":
      return once(5 * cell + flipFlops);
    case "blanking only":
      if (!counts) throw new RangeError("how long a line is visible hangs on the raster");
      return once((counts.line.active + 1) * cell + latched);
  }
}
