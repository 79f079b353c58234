import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Expression, evaluate, parseExpression } from "../../src/parts/index.js";
import { DecisionTables, decide } from "../../src/simulation/decision.js";
import { UNDRIVEN, UNKNOWN } from "../../src/simulation/value.js";

const names = ["A", "B", "C", "D", "E"];

const { expression } = fc.letrec<{ expression: Expression }>((tie) => ({
  expression: fc.oneof(
    { depthSize: "small", withCrossShrink: true },
    fc.constantFrom(...names).map((name): Expression => ({ kind: "name", name })),
    fc.constantFrom(0 as const, 1 as const).map((value): Expression => ({ kind: "constant", value })),
    tie("expression").map((of): Expression => ({ kind: "not", of })),
    fc
      .tuple(fc.constantFrom("and" as const, "or" as const, "xor" as const), tie("expression"), tie("expression"))
      .map(([kind, left, right]): Expression => ({ kind, left, right })),
    fc
      .tuple(tie("expression"), tie("expression"), tie("expression"))
      .map(([when, then, otherwise]): Expression => ({ kind: "choose", when, then, otherwise })),
  ),
}));

function decided(value: Expression, words: readonly number[], enable?: Expression): number {
  const tables = new DecisionTables();
  const root = tables.add(value, (name) => names.indexOf(name), enable);
  return decide(root, Int32Array.from(tables.variable), Int32Array.from(tables.next), Int32Array.from(words));
}

/** All ways to put 0 or 1 in place of what is unknown. */
function* assignments(words: readonly number[]): Generator<readonly (0 | 1)[]> {
  const unknown = words.flatMap((word, index) => (word === UNKNOWN ? [index] : []));
  for (let bits = 0; bits < 2 ** unknown.length; bits++) {
    yield words.map((word, index) => (word === UNKNOWN ? (bits >> unknown.indexOf(index)) & 1 : word) as 0 | 1);
  }
}

describe("decision diagrams", () => {
  const words = fc.array(fc.constantFrom(0, 1, UNKNOWN), { minLength: 5, maxLength: 5 });

  it("answer as the expression does, and unknown only where the answer hangs on the unknowns", () => {
    fc.assert(
      fc.property(expression, words, (value, words) => {
        const answers = new Set(
          [...assignments(words)].map((levels) => evaluate(value, (name) => levels[names.indexOf(name)] ?? 0)),
        );
        const [only = UNKNOWN] = answers;
        expect(decided(value, words)).toBe(answers.size === 1 ? only : UNKNOWN);
      }),
      { numRuns: 2000 },
    );
  });

  it("answer undriven where the enable is false", () => {
    fc.assert(
      fc.property(expression, expression, words, (value, enable, words) => {
        const answers = new Set(
          [...assignments(words)].map((levels) => {
            const level = (name: string) => levels[names.indexOf(name)] ?? 0;
            return evaluate(enable, level) ? evaluate(value, level) : UNDRIVEN;
          }),
        );
        const [only = UNKNOWN] = answers;
        expect(decided(value, words, enable)).toBe(answers.size === 1 ? only : UNKNOWN);
      }),
      { numRuns: 2000 },
    );
  });

  it("pass over an unknown that makes no difference", () => {
    expect(decided(parseExpression("A ? B : B"), [UNKNOWN, 1, 0, 0, 0])).toBe(1);
    expect(decided(parseExpression("A | !A"), [UNKNOWN, 0, 0, 0, 0])).toBe(1);
    expect(decided(parseExpression("A & B"), [UNKNOWN, 0, 0, 0, 0])).toBe(0);
    expect(decided(parseExpression("A & B"), [UNKNOWN, 1, 0, 0, 0])).toBe(UNKNOWN);
  });
});
