import type { CellId } from "./model.js";

/**
 * What can be looked at of a cell's state by itself: all of it; of a wave, what `StateBook.glance` gives, or the present, or
 * one of the changes that are past, from `PAST` on, the last first. What rests on no more than it looks at comes again
 * wherever that does.
 */
export type Aspect = number;
export const WHOLE: Aspect = 0;
export const GLANCE: Aspect = 1;
export const PRESENT: Aspect = 2;
export const PAST: Aspect = 3;

const ASPECTS = 32;

/** Number of a cell together with one of its aspects, from 0 on. */
export type Looked = number;

export function lookedAt(cell: CellId, aspect: Aspect): Looked {
  if (aspect >= ASPECTS) throw new RangeError(`${aspect - PAST} changes of a wave are past`);
  return ASPECTS * cell + aspect;
}

export function cellOf(looked: Looked): CellId {
  return Math.floor(looked / ASPECTS);
}

export function aspectOf(looked: Looked): Aspect {
  return looked % ASPECTS;
}
