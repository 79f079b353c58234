/** A decimal number, exact: `digits` times ten to the power of `exponent`. */
export interface Decimal {
  readonly digits: bigint;
  readonly exponent: number;
}

const NUMBER = /^([+-]?)(\d+)(?:\.(\d+))?$/;

/** Reads `12`, `-0.5`, `25.175`. Undefined where the text is no plain decimal number or has more than 30 digits. */
export function parseDecimal(text: string): Decimal | undefined {
  const match = NUMBER.exec(text.replace(/^[\u2212\u2013]/, "-"));
  if (!match) return undefined;
  const [, sign, whole = "", fraction = ""] = match;
  if (whole.length + fraction.length > 30) return undefined;
  const digits = BigInt(whole + fraction);
  return { digits: sign === "-" ? -digits : digits, exponent: -fraction.length };
}

export function multiply(a: Decimal, b: Decimal): Decimal {
  return { digits: a.digits * b.digits, exponent: a.exponent + b.exponent };
}

export function add(a: Decimal, b: Decimal): Decimal {
  const exponent = Math.min(a.exponent, b.exponent);
  return { digits: rescale(a, exponent) + rescale(b, exponent), exponent };
}

/** The nearest double: the one that the same number written in a program would give. */
export function toNumber({ digits, exponent }: Decimal): number {
  return Number(`${digits}e${exponent}`) + 0; // + 0 turns a negative zero into zero
}

/** The whole number that this is, or undefined where it has a fraction. */
export function toInteger({ digits, exponent }: Decimal): bigint | undefined {
  if (exponent >= 0) return digits * 10n ** BigInt(exponent);
  const unit = 10n ** BigInt(-exponent);
  return digits % unit === 0n ? digits / unit : undefined;
}

function rescale({ digits, exponent }: Decimal, to: number): bigint {
  return digits * 10n ** BigInt(exponent - to);
}
