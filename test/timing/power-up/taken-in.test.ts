import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { evaluate, parseExpression } from "../../../src/parts/index.js";
import { takenInOf } from "../../../src/timing/power-up/taken-in.js";
import { NAMES, anyExpression } from "../../support/any-expression.js";

/** A and B are marks, C is known, D comes from elsewhere. */
const sourceOf = (name: string) => (name === "C" ? "level" : name === "D" ? "elsewhere" : "mark");

/** Whether the expression is said to be taken in, with these marks and this level of C. */
function isTaken(text: string, levels: { readonly A: 0 | 1; readonly B: 0 | 1; readonly C: 0 | 1 }): boolean {
  return evaluate(takenInOf(parseExpression(text), sourceOf), (name) => levels[name as "A" | "B" | "C"]) === 1;
}

describe("what follows from what is taken in", () => {
  test("hangs no more on an input that a known level shuts out", () => {
    expect(isTaken("A & C", { A: 0, B: 0, C: 0 })).toBe(true);
    expect(isTaken("A & C", { A: 0, B: 0, C: 1 })).toBe(false);
    expect(isTaken("!(!(A & C) & !(B & !C))", { A: 1, B: 0, C: 1 })).toBe(true);
    expect(isTaken("!(!(A & C) & !(B & !C))", { A: 1, B: 0, C: 0 })).toBe(false);
  });

  test("takes in what comes from elsewhere, whatever its level", () => {
    expect(isTaken("A & D", { A: 0, B: 0, C: 0 })).toBe(false);
    expect(isTaken("A & D", { A: 1, B: 0, C: 0 })).toBe(true);
  });

  test("is the same for all levels of what is not taken in yet", () => {
    const levels = fc.constantFrom<0 | 1>(0, 1);
    fc.assert(
      fc.property(anyExpression, fc.tuple(levels, levels, levels, levels), levels, levels, (expression, all, a, b) => {
        const level = (name: string) => all[NAMES.indexOf(name)] ?? 0;
        const marks = (name: string) => (name === "A" ? a : name === "B" ? b : level(name));
        if (evaluate(takenInOf(expression, sourceOf), marks) === 0) return;
        const found = new Set(
          [0, 1, 2, 3].map((open) =>
            evaluate(expression, (name) => {
              if (name === "A" && a === 0) return (open & 1) as 0 | 1;
              if (name === "B" && b === 0) return (open >> 1) as 0 | 1;
              return level(name);
            }),
          ),
        );
        expect(found.size).toBe(1);
      }),
      { numRuns: 2000 },
    );
  });
});
