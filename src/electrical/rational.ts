/** An exact number: a fraction in lowest terms, the denominator above zero. */
export interface Rational {
  readonly over: bigint;
  readonly under: bigint;
}

/** Throws RangeError where `under` is zero. */
export function rational(over: bigint | number, under: bigint | number = 1n): Rational {
  const [a, b] = [BigInt(over), BigInt(under)];
  if (b === 0n) throw new RangeError(`${a} over zero`);
  const divisor = greatestCommonDivisor(a < 0n ? -a : a, b < 0n ? -b : b);
  const sign = b < 0n ? -1n : 1n;
  return { over: (sign * a) / divisor, under: (sign * b) / divisor };
}

export const ZERO: Rational = { over: 0n, under: 1n };
export const ONE: Rational = { over: 1n, under: 1n };

/**
 * The decimal number that a double is written as, exactly: 0.1 is one tenth and not the binary fraction nearest to it.
 * Throws RangeError for what is no finite number.
 */
export function exactly(value: number): Rational {
  if (!Number.isFinite(value)) throw new RangeError(`${value} is no finite number`);
  const [mantissa = "0", power = "0"] = value.toExponential().split("e");
  const [whole = "0", decimals = ""] = mantissa.split(".");
  const exponent = Number(power) - decimals.length;
  const digits = BigInt(whole + decimals);
  return exponent >= 0 ? rational(digits * 10n ** BigInt(exponent)) : rational(digits, 10n ** BigInt(-exponent));
}

export function plus(a: Rational, b: Rational): Rational {
  return rational(a.over * b.under + b.over * a.under, a.under * b.under);
}

export function minus(a: Rational, b: Rational): Rational {
  return rational(a.over * b.under - b.over * a.under, a.under * b.under);
}

export function times(a: Rational, b: Rational): Rational {
  return rational(a.over * b.over, a.under * b.under);
}

/** Throws RangeError where `b` is zero. */
export function dividedBy(a: Rational, b: Rational): Rational {
  return rational(a.over * b.under, a.under * b.over);
}

/** One over a number that is not zero. */
export function inverse(a: Rational): Rational {
  return rational(a.under, a.over);
}

export function magnitude(a: Rational): Rational {
  return a.over < 0n ? { over: -a.over, under: a.under } : a;
}

export function isZero(a: Rational): boolean {
  return a.over === 0n;
}

/** Below zero where `a` is less than `b`, above where it is more. */
export function compare(a: Rational, b: Rational): number {
  const difference = a.over * b.under - b.over * a.under;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/** The nearest double, or one next to it. */
export function asNumber({ over, under }: Rational): number {
  const [a, b] = [Number(over), Number(under)];
  if (Number.isFinite(a) && Number.isFinite(b)) return a / b;
  const excess = BigInt(Math.max(0, Math.min(bitLength(over), bitLength(under)) - 900));
  return Number(over >> excess) / Number(under >> excess);
}

function bitLength(value: bigint): number {
  return (value < 0n ? -value : value).toString(16).length * 4;
}

function greatestCommonDivisor(a: bigint, b: bigint): bigint {
  let [larger, smaller] = [a, b];
  while (smaller !== 0n) [larger, smaller] = [smaller, larger % smaller];
  return larger;
}
