import type { Chip, Circuit } from "../../circuit/index.js";
import type { Random } from "../../simulation/index.js";
import { isForSync } from "./for-sync.js";

/** A memory of a circuit whose bits have numbers, one memory after the other: word by word, bit 0 of each first. */
export interface NumberedMemory {
  readonly chip: Chip;
  readonly words: number;
  /** Bits of a word. */
  readonly width: number;
  /** Number of bit 0 of word 0. */
  readonly first: number;
}

/** One bit of a memory. */
export interface BitPlace {
  readonly chip: Chip;
  readonly address: number;
  readonly bit: number;
}

/** What memories hold, by chip, from word 0 on. */
export type Contents = ReadonlyMap<Chip, Uint8Array>;

/** The memories of a circuit, by whether they can be written where they are; those that make its syncs by themselves. */
export function memoriesOf(circuit: Circuit): {
  readonly rams: readonly Chip[];
  readonly roms: readonly Chip[];
  readonly syncRoms: readonly Chip[];
} {
  const memories = circuit.chips.filter(({ part }) => part.behaviour.memory);
  const fixed = memories.filter((chip) => !canWrite(chip));
  const syncRoms = fixed.filter((chip) => isForSync(circuit, chip));
  return {
    rams: memories.filter(canWrite),
    roms: fixed.filter((chip) => !syncRoms.includes(chip)),
    syncRoms,
  };
}

/** Whether a memory has a port that writes. */
function canWrite({ part: { behaviour } }: Chip): boolean {
  return [behaviour.memory, ...(behaviour.otherPorts ?? [])].some((port) => port?.write !== undefined);
}

/** Words of a memory; 0 of any other chip. */
export function wordsOf({ part }: Chip): number {
  const memory = part.behaviour.memory;
  return memory ? 2 ** memory.address.length : 0;
}

export function numberBits(memories: readonly Chip[]): readonly NumberedMemory[] {
  let first = 0;
  return memories.map((chip) => {
    const one = { chip, words: wordsOf(chip), width: chip.part.behaviour.memory?.data.length ?? 0, first };
    first += one.words * one.width;
    return one;
  });
}

/** How many bits all of them have together. */
export function bitCount(memories: readonly NumberedMemory[]): number {
  const last = memories.at(-1);
  return last ? last.first + last.words * last.width : 0;
}

/** Where the bit of a number is; undefined where there is none. */
export function placeOf(memories: readonly NumberedMemory[], number: number): BitPlace | undefined {
  const one = memories.find(({ first, words, width }) => number >= first && number < first + words * width);
  if (!one) return undefined;
  const rest = number - one.first;
  return { chip: one.chip, address: Math.floor(rest / one.width), bit: rest % one.width };
}

/** Contents in which every bit is as `levelOf` says of its number. */
export function fillBits(memories: readonly NumberedMemory[], levelOf: (number: number) => number): Contents {
  return new Map(
    memories.map(({ chip, words, width, first }) => {
      const bytes = new Uint8Array(words);
      for (let word = 0; word < words; word++) {
        let byte = 0;
        for (let bit = 0; bit < width; bit++) byte |= (levelOf(first + word * width + bit) & 1) << bit;
        bytes[word] = byte;
      }
      return [chip, bytes];
    }),
  );
}

/** Contents drawn at random. */
export function randomContents(memories: readonly NumberedMemory[], random: Random): Contents {
  return new Map(
    memories.map(({ chip, words, width }) => [
      chip,
      Uint8Array.from({ length: words }, () => Math.floor(random() * 2 ** width)),
    ]),
  );
}

/** All bits in a row, a byte each. */
export function bitsOf(memories: readonly NumberedMemory[], contents: Contents): Uint8Array {
  const bits = new Uint8Array(bitCount(memories));
  for (const { chip, words, width, first } of memories) {
    const bytes = contents.get(chip);
    if (!bytes) continue;
    for (let word = 0; word < words; word++) {
      const byte = bytes[word] ?? 0;
      for (let bit = 0; bit < width; bit++) bits[first + word * width + bit] = (byte >> bit) & 1;
    }
  }
  return bits;
}
