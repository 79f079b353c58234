import type { Edge } from "../parts/index.js";

/**
 * Where the time of an edge starts: the rise or the fall of the oscillator in a tick, or an outside edge (numbered from 2)
 * that comes anywhere within a tick.
 */
export type Root = number;
export const OSCILLATOR_RISE: Root = 0;
export const OSCILLATOR_FALL: Root = 1;
export const FIRST_OUTSIDE_ROOT: Root = 2;

/** The two roots of the outside signal of that number: its rise and its fall. */
export function outsideRoot(outside: number, edge: Edge): Root {
  return FIRST_OUTSIDE_ROOT + 2 * outside + (edge === "fall" ? 1 : 0);
}

/** The number of the outside signal that a root is an edge of; negative for the oscillator's. */
export function outsideOf(root: Root): number {
  return (root - FIRST_OUTSIDE_ROOT) >> 1;
}

/** Whether two roots are edges of one outside signal. */
export function isOneOutside(a: Root, b: Root): boolean {
  return a >= FIRST_OUTSIDE_ROOT && b >= FIRST_OUTSIDE_ROOT && a >> 1 === b >> 1;
}
