/**
 * What a pin or net carries: low, high, unknown, or (drivers and nets only) nothing driven. A receiver never sees
 * "undriven": an input that nothing drives reads as unknown.
 *
 * The simulator keeps values in words: the two lowest bits are the value, the rest is a mark that says where the value came
 * from (see `provenance.ts`), 0 in ordinary runs.
 */
export type Value = 0 | 1 | 2 | 3;

export const LOW = 0;
export const HIGH = 1;
/** Low or high, nobody can say which. On a driver that may be switched off: or nothing. */
export const UNKNOWN = 2;
export const UNDRIVEN = 3;

/** Mask of a word's value. */
export const VALUE = 3;
/** Shift of a word's mark. */
export const MARK_SHIFT = 2;

/** How values are written: as in a value change dump of IEEE 1364. */
export const VALUE_LETTERS = ["0", "1", "x", "z"] as const;

/**
 * The rule for several drivers on one net, two at a time: who drives nothing gives way, equals agree, all else is unknown.
 * Of two that agree the first one's mark stays.
 */
export function resolve(a: number, b: number): number {
  if ((a & VALUE) === UNDRIVEN) return b;
  if ((b & VALUE) === UNDRIVEN) return a;
  return (a & VALUE) === (b & VALUE) ? a : UNKNOWN;
}

/** What an input makes of a net's word. */
export function received(word: number): number {
  return (word & VALUE) === UNDRIVEN ? UNKNOWN : word;
}
