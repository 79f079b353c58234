import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { IntTable } from "../../src/timing/int-table.js";
import { SequenceBook } from "../../src/timing/sequence-book.js";
import { TupleBook } from "../../src/timing/tuple-book.js";
import { Pairs } from "../../src/timing/words.js";

const small = fc.integer({ min: 0, max: 6 });
/** More than any table begins with, so that each has grown several times. */
const MANY = 3000;
const any32 = fc.oneof(small, fc.integer({ min: -(2 ** 31), max: 2 ** 31 - 1 }));

/** What a map of texts says the numbers are: the first of its kind has the next number. */
function numbersOf(keys: readonly string[]): readonly number[] {
  const known = new Map<string, number>();
  return keys.map((key) => {
    const number = known.get(key) ?? known.size;
    known.set(key, number);
    return number;
  });
}

describe("whatever is alike has one number, and whatever is not has another", () => {
  test("rows of integers, which can be read again", () => {
    const rows = fc
      .integer({ min: 0, max: 4 })
      .chain((width) =>
        fc
          .array(fc.array(any32, { minLength: width, maxLength: width }), { maxLength: 400 })
          .map((all) => ({ width, all })),
      );
    fc.assert(
      fc.property(rows, ({ width, all }) => {
        const book = new TupleBook(width);
        const numbers = all.map((row) => book.id(row));
        expect(numbers).toEqual(numbersOf(all.map(String)));
        expect(book.size).toBe(new Set(numbers).size);
        const into = new Int32Array(width);
        for (const [index, row] of all.entries()) {
          book.copy(numbers[index] ?? -1, into);
          expect([...into]).toEqual(row);
          expect(row.map((_, position) => book.at(numbers[index] ?? -1, position))).toEqual(row);
        }
      }),
      { numRuns: 30 },
    );
  });

  test("rows of which there are many", () => {
    const book = new TupleBook(2);
    const rows = Array.from({ length: MANY }, (_, n) => [n % 1000, n % 7]);
    expect(rows.map((row) => book.id(row))).toEqual(numbersOf(rows.map(String)));
  });

  test("sequences of any length, of short and of long numbers", () => {
    const long = fc.integer({ min: -(2 ** 50), max: 2 ** 50 });
    const part = fc.record({ short: any32, long });
    fc.assert(
      fc.property(fc.array(fc.array(part, { maxLength: 5 }), { maxLength: 300 }), (all) => {
        const book = new SequenceBook();
        const numbers = all.map((sequence) => {
          const before = book.size;
          for (const one of sequence) {
            book.put(one.short);
            book.putLong(one.long);
          }
          const number = book.number();
          expect(book.size).toBe(Math.max(before, number + 1));
          return number;
        });
        expect(numbers).toEqual(numbersOf(all.map((sequence) => JSON.stringify(sequence))));
      }),
      { numRuns: 30 },
    );
  });

  test("sequences of which there are many, also where they differ in their length or their last number alone", () => {
    const book = new SequenceBook();
    const all = Array.from({ length: MANY }, (_, n) => [...Array.from({ length: n % 5 }, () => 1), n % 700]);
    const numbers = all.map((sequence) => {
      for (const value of sequence) book.put(value);
      return book.number();
    });
    expect(numbers).toEqual(numbersOf(all.map(String)));
  });

  test("pairs, each with the value that it was given", () => {
    const table = new IntTable();
    const pairs = new Pairs();
    const all = Array.from({ length: MANY }, (_, n) => [n % 61, Math.floor(n / 61)] as const);
    for (const [index, [first, second]] of all.entries()) {
      expect(table.get(first, second)).toBe(-1);
      table.add(first, second, index);
      expect(pairs.id(first, second)).toBe(index);
    }
    expect(all.map(([first, second]) => table.get(first, second))).toEqual(all.map((_, index) => index));
    expect(all.map(([first, second]) => pairs.id(first, second))).toEqual(all.map((_, index) => index));
    expect(table.get(61, 0)).toBe(-1);
  });
});
