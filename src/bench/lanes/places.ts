import { type WasmMemory, newMemory } from "../../simulation/compiled/web-assembly.js";
import { type LaneMask, isAll } from "./lane-mask.js";

/** Bytes of a vector. */
export const VECTOR_BYTES = 16;
/** Bits of the counters that count a net's rises and samples in each lane. */
export const RISE_BITS = 21;
export const SAMPLE_BITS = 14;

/** Control words of a machine of lanes, by their address. */
export const Control = {
  /** Edges of oscillators so far. */
  step: 0,
  /** Edges until all levels are sampled, and between samples; none, and no rises are counted, while `stride` is 0. */
  untilSample: 4,
  stride: 8,
  /** Not 0: what still changes is taken for ringing and is stopped. */
  isRinging: 12,
  /** Not 0: changes are carried out one at a time. */
  isSerial: 16,
  /** Where the monitor's taps are written next, and where that ends; equal: not at all. */
  tapNext: 20,
  tapEnd: 24,
} as const;

const FIRST_FREE = 64;

/** Of a node: offsets of what is kept of it. */
export const NodePart = {
  value: 0,
  frozen: VECTOR_BYTES,
  fights: 2 * VECTOR_BYTES,
  open: 3 * VECTOR_BYTES,
  /** Its level when all was at rest the last time. */
  rest: 4 * VECTOR_BYTES,
  rises: 5 * VECTOR_BYTES,
  highs: (5 + RISE_BITS) * VECTOR_BYTES,
  fought: (5 + RISE_BITS + SAMPLE_BITS) * VECTOR_BYTES,
  opened: (5 + RISE_BITS + 2 * SAMPLE_BITS) * VECTOR_BYTES,
} as const;
export const NODE_BYTES = (5 + RISE_BITS + 3 * SAMPLE_BITS) * VECTOR_BYTES;

/** Hands out places in the memory of a machine of lanes, before it is made. */
export class Places {
  private next = FIRST_FREE;
  private readonly masks = new Map<string, { readonly address: number; readonly mask: LaneMask }>();

  take(bytes: number): number {
    const address = Math.ceil(this.next / VECTOR_BYTES) * VECTOR_BYTES;
    this.next = address + bytes;
    return address;
  }

  vector(): number {
    return this.take(VECTOR_BYTES);
  }

  /** Where a mask of lanes stands; undefined for all lanes. */
  mask(mask: LaneMask): number | undefined {
    if (isAll(mask)) return undefined;
    const key = mask.join(" ");
    const known = this.masks.get(key);
    if (known) return known.address;
    const address = this.vector();
    this.masks.set(key, { address, mask: mask.slice() });
    return address;
  }

  /** Makes the memory, with the masks in it. */
  make(): WasmMemory {
    const memory = newMemory(this.next + VECTOR_BYTES);
    const words = new Uint32Array(memory.buffer);
    for (const { address, mask } of this.masks.values()) words.set(mask, address / 4);
    return memory;
  }
}
