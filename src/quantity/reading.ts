/** What came of reading a quantity: its value, or what is wrong with the text and what would be right. */
export type Reading<T> = { readonly value: T } | Misreading;

export interface Misreading {
  /** `'12 parsecs' is no time: there is no unit 'parsecs'`. */
  readonly wrong: string;
  /** `a number and fs, ps, ns, us, ms or s, such as 12.5 ns`. */
  readonly expected: string;
}

export function isMisread<T>(reading: Reading<T>): reading is Misreading {
  return "wrong" in reading;
}

/** The value of a reading. Throws RangeError where the text was wrong; for text that the program itself wrote. */
export function valueOf<T>(reading: Reading<T>): T {
  if (isMisread(reading)) throw new RangeError(`${reading.wrong}: expected ${reading.expected}`);
  return reading.value;
}
