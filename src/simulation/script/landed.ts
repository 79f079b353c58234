import type { MeantWrite } from "./run.js";

/** What came of the writes of a script in one memory. Cells are addresses. */
export interface Landed {
  /** Chip of the memory. */
  readonly ref: string;
  /** Bytes that were meant, and cells: some may be written more than once. */
  readonly meant: number;
  readonly cells: number;
  /** Cells that do not hold, or may not hold, what was written to them last, least first. */
  readonly lost: readonly { readonly address: number; readonly meant: number; readonly holds: number | undefined }[];
  /** Cells that changed though nothing was meant for them, least first. */
  readonly strays: readonly { readonly address: number; readonly was: number; readonly holds: number | undefined }[];
}

/** The contents of a memory: a byte a cell, and which of its bits are unknown. */
export interface Contents {
  readonly contents: Uint8Array;
  readonly unknown: Uint8Array;
}

/**
 * Compares what a memory holds with what a script meant to write into it. The script's addresses are those of the memory's
 * address pins, A0 the least, and its data those of the data pins.
 */
export function compareCells(ref: string, before: Uint8Array, after: Contents, writes: readonly MeantWrite[]): Landed {
  const wanted = new Map(writes.map(({ address, data }) => [address % before.length, data]));
  const holds = (address: number) => (after.unknown[address] === 0 ? after.contents[address] : undefined);
  const lost = [...wanted]
    .filter(([address, data]) => holds(address) !== data)
    .map(([address, meant]) => ({ address, meant, holds: holds(address) }))
    .sort((a, b) => a.address - b.address);
  const strays: { address: number; was: number; holds: number | undefined }[] = [];
  before.forEach((was, address) => {
    if (!wanted.has(address) && holds(address) !== was) strays.push({ address, was, holds: holds(address) });
  });
  return { ref, meant: writes.length, cells: wanted.size, lost, strays };
}
