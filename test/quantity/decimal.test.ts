import { expect, test } from "vitest";
import { add, multiply, parseDecimal, toInteger, toNumber } from "../../src/quantity/decimal.js";

function decimal(text: string) {
  const found = parseDecimal(text);
  if (!found) throw new Error(`not read: ${text}`);
  return found;
}

test("sums and products of decimal numbers are exact where doubles are not", () => {
  expect(0.1 + 0.2).not.toBe(0.3);
  expect(toNumber(add(decimal("0.1"), decimal("0.2")))).toBe(0.3);
  expect(1.1 * 1.1).not.toBe(1.21);
  expect(toNumber(multiply(decimal("1.1"), decimal("1.1")))).toBe(1.21);
});

test("a decimal number is whole when its fraction is zero", () => {
  expect(toInteger(decimal("12.00"))).toBe(12n);
  expect(toInteger(decimal("12.01"))).toBeUndefined();
  expect(toInteger(multiply(decimal("0.001"), { digits: 1n, exponent: 3 }))).toBe(1n);
});

test.each(["", ".", "1.", ".5", "1e3", "0x10", "1 2", "--1", "9".repeat(31)])("'%s' is no decimal number", (text) => {
  expect(parseDecimal(text)).toBeUndefined();
});

test("zero has no sign", () => {
  expect(Object.is(toNumber(decimal("-0.0")), 0)).toBe(true);
});
