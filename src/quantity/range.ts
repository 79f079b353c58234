/** A closed range, both ends in the same unit. `min` is at most `max`. */
export interface Range<T extends number = number> {
  readonly min: T;
  readonly max: T;
}

/** A range from its ends. Throws RangeError when they are the wrong way round. */
export function range<T extends number>(min: T, max: T): Range<T> {
  if (!(min <= max)) throw new RangeError(`empty range: ${min} to ${max}`);
  return { min, max };
}
