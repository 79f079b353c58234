import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { chipsFor, distinct, gateChips, type Gate } from "../../src/planning/writing/gates.js";
import { type Product, type Table, primesOf, smallestSums } from "../../src/planning/writing/minimise.js";

/** A function by the combinations at which it is high, and those at which it does not matter. */
function tableOf(variables: number, high: readonly number[], free: readonly number[] = []): Table {
  return { variables, at: (combination) => (free.includes(combination) ? undefined : high.includes(combination)) };
}

/** A product as the digits of its variables, the highest first: 1, 0, or - where one is not in it. */
function digits({ care, value }: Product, variables: number): string {
  return Array.from({ length: variables }, (_, at) => {
    const v = variables - 1 - at;
    return (care >> v) & 1 ? String((value >> v) & 1) : "-";
  }).join("");
}

const isCovered = (sum: readonly Product[], at: number) => sum.some(({ care, value }) => (at & care) === value);

describe("a sum of products", () => {
  // The cyclic table of textbooks (McCluskey, Introduction to the Theory of Switching Circuits, 1965; from memory): every
  // place is in two primes, so that there is none that must be taken.
  test("of the cyclic function of three variables has six primes, and two ways to take three of them", () => {
    const table = tableOf(3, [0, 1, 2, 5, 6, 7]);
    const primes = primesOf(table).map((one) => digits(one, 3));
    expect([...primes].sort()).toEqual(["-01", "-10", "0-0", "00-", "1-1", "11-"]);
    const sums = smallestSums(table).map((sum) => sum.map((one) => digits(one, 3)).sort());
    expect(sums).toHaveLength(2);
    expect(sums).toContainEqual(["-01", "0-0", "11-"]);
    expect(sums).toContainEqual(["-10", "00-", "1-1"]);
  });

  // A digit's nine in binary-coded decimal, whose last six states never come: two of the four bits tell it (common practice).
  test("of a state of a decade counter leaves out what its unused states make idle", () => {
    const nine = tableOf(4, [9], [10, 11, 12, 13, 14, 15]);
    expect(smallestSums(nine).map((sum) => sum.map((one) => digits(one, 4)))).toEqual([["1--1"]]);
  });

  test("is high where the function is and low where it is not, and each of its products can lose no variable", () => {
    const level = fc.constantFrom(true, false, undefined);
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 6 }),
        fc.array(level, { minLength: 64, maxLength: 64 }),
        (variables, levels) => {
          const table: Table = { variables, at: (combination) => levels[combination] };
          const places = Array.from({ length: 2 ** variables }, (_, at) => at);
          for (const sum of smallestSums(table)) {
            const wrong = places.filter((at) => levels[at] !== undefined && isCovered(sum, at) !== levels[at]);
            expect(wrong).toEqual([]);
            for (const { care, value } of sum) {
              for (const bit of places.filter((one) => (one & care) === one && (one & (one - 1)) === 0 && one > 0)) {
                const wider = [{ care: care & ~bit, value: value & ~bit }];
                expect(places.some((at) => levels[at] === false && isCovered(wider, at))).toBe(true);
              }
            }
          }
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe("the number of chips that gates take", () => {
  const gate = fc
    .record({
      kind: fc.constantFrom<Gate["kind"][]>("NOT", "NAND", "AND", "OR", "NOR"),
      width: fc.integer({ min: 2, max: 8 }),
      isQuick: fc.boolean(),
      name: fc.integer({ min: 0, max: 60 }),
    })
    .map(({ kind, width, isQuick, name }): Gate => {
      const widest = isQuick ? 2 : { NOT: 1, NAND: 8, AND: 4, OR: 2, NOR: 3, XOR: 2 }[kind];
      const inputs = Array.from({ length: kind === "NOT" ? 1 : Math.min(width, widest) }, (_, at) => `IN${at}`);
      return { kind, inputs, output: `OUT${name}`, ...(isQuick && { isQuick }) };
    });

  test("is that of the chips in which they are placed, free sections standing in for others", () => {
    fc.assert(
      fc.property(fc.array(gate, { maxLength: 40 }), (gates) => {
        expect(chipsFor(distinct(gates))).toBe(gateChips(gates).length);
      }),
      { numRuns: 200 },
    );
  });
});
