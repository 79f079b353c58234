import { PLANES } from "./signal-store.js";
import type { Structure } from "./structure.js";

/** Where things lie in a machine's memory, as byte addresses. */
export interface Layout {
  /** Levels of signals, plane by plane. */
  readonly signals: number;
  /** Of each memory: words, and (from `unknownAt`) which of their bits are unknown. */
  readonly arrayAt: readonly number[];
  readonly unknownAt: readonly number[];
  readonly arrayBytes: readonly number[];
  /** Writes that began, of each port: 32 bits. */
  readonly writeCounts: number;
  /** What is free for records, from here on. */
  readonly end: number;
}

export function layoutOf({ signalCount, memories, ports }: Structure): Layout {
  let next = 64;
  const take = (bytes: number) => {
    const at = next;
    next = (next + bytes + 63) & ~63;
    return at;
  };
  const signals = take(PLANES * signalCount);
  const arrayBytes = memories.map(({ addressBits }) => 2 ** addressBits);
  const arrayAt = arrayBytes.map(take);
  const unknownAt = arrayBytes.map(take);
  const writeCounts = take(4 * ports.length);
  return { signals, arrayAt, unknownAt, arrayBytes, writeCounts, end: next };
}
