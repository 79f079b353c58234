/** Boards that are simulated at once: one bit of a vector each. */
export const LANES = 128;

/** Some of the lanes: four words of 32 bits. */
export type LaneMask = Uint32Array;

/** Lanes of the first and of the second way, in a word. */
export const FIRST_WAY = 0x55555555;
export const SECOND_WAY = 0xaaaaaaaa | 0;

export function noLanes(): LaneMask {
  return new Uint32Array(LANES / 32);
}

export function allLanes(): LaneMask {
  return new Uint32Array(LANES / 32).fill(0xffffffff);
}

export function setLane(mask: LaneMask, lane: number): void {
  mask[lane >> 5] = ((mask[lane >> 5] ?? 0) | (1 << (lane & 31))) >>> 0;
}

export function clearLane(mask: LaneMask, lane: number): void {
  mask[lane >> 5] = ((mask[lane >> 5] ?? 0) & ~(1 << (lane & 31))) >>> 0;
}

export function hasLane(mask: LaneMask, lane: number): boolean {
  return (((mask[lane >> 5] ?? 0) >>> (lane & 31)) & 1) === 1;
}

export function isAll(mask: LaneMask): boolean {
  return mask.every((word) => word === 0xffffffff);
}

export function isNone(mask: LaneMask): boolean {
  return mask.every((word) => word === 0);
}
