/**
 * What is known of a level: the set of values it may have, one bit each. A steady net has one unknown value of its set.
 */
export type LevelSet = number;
export const LOW: LevelSet = 1;
export const HIGH: LevelSet = 2;
export const EITHER: LevelSet = 3;
export const UNDRIVEN: LevelSet = 4;

/** True where the level is known to be one value. */
export function isKnown(set: LevelSet): boolean {
  return set === LOW || set === HIGH || set === UNDRIVEN;
}

/** The set as a logic input reads it: nothing driven may read as either level. */
export function asRead(set: LevelSet): LevelSet {
  return set & UNDRIVEN ? EITHER : set;
}

/** `0`, `1`, `Z`, or the possibilities joined by a slash. */
export function describeLevels(set: LevelSet): string {
  const parts = [set & LOW ? "0" : "", set & HIGH ? "1" : "", set & UNDRIVEN ? "Z" : ""];
  return parts.filter((part) => part !== "").join("/");
}
