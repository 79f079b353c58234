import type { Counts, Sharing } from "../design.js";
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
    "two samples, a cell that reads, one that writes, one more, and up to one until the first sample: 6 cells and the flip-flops",
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
      return once(6 * cell + flipFlops);
    case "blanking only":
      if (!counts) throw new RangeError("how long a line is visible hangs on the raster");
      return once((counts.line.active + 1) * cell + latched);
  }
}
