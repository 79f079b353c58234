/**
 * Random numbers that are the same on every machine: one hash, so that each choice depends on the seed and on its own name
 * alone and not on what else was chosen before it.
 */

/** A 32-bit hash of a text (FNV-1a with a final avalanche from MurmurHash3, both in the public domain). */
export function hashText(text: string, seed: number): number {
  let hash = 0x811c9dc5 ^ seed;
  for (let index = 0; index < text.length; index++) hash = Math.imul(hash ^ text.charCodeAt(index), 0x01000193);
  return avalanche(hash ^ Math.imul(seed, 0x9e3779b1));
}

/** A number from 0 up to but not including 1 that belongs to this name. */
export function randomFor(name: string, seed: number): number {
  return (hashText(name, seed) * 0x200000 + (hashText(name, ~seed) >>> 11)) / 2 ** 53;
}

/** A stream of numbers from 0 up to but not including 1. */
export type Random = () => number;

/** A stream that belongs to a name (mulberry32, public domain; 2^32 numbers before it repeats). */
export function randomStream(name: string, seed: number): Random {
  let state = hashText(name, seed);
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Bytes that belong to a name. */
export function randomBytes(length: number, name: string, seed: number): Uint8Array {
  const random = randomStream(name, seed);
  return Uint8Array.from({ length }, () => Math.floor(256 * random()));
}

function avalanche(value: number): number {
  let hash = value ^ (value >>> 16);
  hash = Math.imul(hash, 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return (hash ^ (hash >>> 16)) >>> 0;
}
