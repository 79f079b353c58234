import { randomStream } from "../../simulation/random.js";
import { WAYS } from "./group.js";
import { FIRST_WAY, type LaneMask, SECOND_WAY, noLanes } from "./lane-mask.js";
import type { CellArray } from "./lane-module.js";
import { VECTOR_BYTES } from "./places.js";

/** Words of 32 bits in a vector, and vectors that are kept for each word of a memory. */
const VECTOR_WORDS = VECTOR_BYTES / 4;
const CELL_BITS = 8;

/** What the memories of boards side by side hold: a vector for each bit. */
export class LaneContents {
  private readonly words: Uint32Array;
  private readonly arrays: readonly CellArray[];

  constructor(words: Uint32Array, arrays: readonly CellArray[]) {
    this.words = words;
    this.arrays = arrays;
  }

  /** Puts the same words into a chip's memory in all lanes; `mask` turns bits of them over. */
  load(chipIndex: number, contents: Uint8Array, mask = 0): void {
    for (const { instance, cells, words, wordBits } of this.arrays) {
      if (instance.chipIndex !== chipIndex) continue;
      for (let word = 0, at = cells / 4; word < words; word++) {
        const value = (contents[word] ?? 0) ^ mask;
        for (let bit = 0; bit < CELL_BITS; bit++) {
          const level = bit < wordBits && (value >> bit) & 1 ? 0xffffffff : 0;
          for (let part = 0; part < VECTOR_WORDS; part++) this.words[at++] = level;
        }
      }
    }
  }

  /** Fills all memories with what nobody knows: bits that differ between the two ways or not. */
  loadRandom(seed: number): void {
    for (const { instance, cells, words } of this.arrays) {
      const random = randomStream(`contents ${instance.chipIndex}`, seed);
      const end = cells / 4 + words * CELL_BITS * VECTOR_WORDS;
      for (let at = cells / 4; at < end;) {
        const bits = Math.floor(random() * 2 ** WAYS);
        const pattern = (bits & 1 ? FIRST_WAY : 0) | (bits & 2 ? SECOND_WAY : 0);
        for (let part = 0; part < VECTOR_WORDS; part++) this.words[at++] = pattern;
      }
    }
  }

  /** Lanes whose memories hold something else than those of the first board in the same way. */
  get astray(): LaneMask {
    const { words } = this;
    let [a, b, c, d] = [0, 0, 0, 0];
    for (const { cells, words: count } of this.arrays) {
      const end = cells / 4 + count * CELL_BITS * VECTOR_WORDS;
      for (let at = cells / 4; at < end; at += VECTOR_WORDS) {
        const first = words[at] ?? 0;
        const all = (first & 1 ? FIRST_WAY : 0) | (first & 2 ? SECOND_WAY : 0);
        a |= first ^ all;
        b |= (words[at + 1] ?? 0) ^ all;
        c |= (words[at + 2] ?? 0) ^ all;
        d |= (words[at + 3] ?? 0) ^ all;
      }
    }
    const mask = noLanes();
    mask.set([a, b, c, d]);
    return mask;
  }
}
