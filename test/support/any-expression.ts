import fc from "fast-check";
import type { Expression } from "../../src/parts/index.js";

/** The names that occur in `anyExpression`. */
export const NAMES = ["A", "B", "C", "D"];

/** Any expression over these names, of every kind. */
export const anyExpression: fc.Arbitrary<Expression> = fc.letrec<{ e: Expression }>((tie) => ({
  e: fc.oneof(
    { depthSize: "small", withCrossShrink: true },
    fc.constantFrom(...NAMES).map((name): Expression => ({ kind: "name", name })),
    fc.constantFrom<0 | 1>(0, 1).map((value): Expression => ({ kind: "constant", value })),
    tie("e").map((of): Expression => ({ kind: "not", of })),
    fc
      .tuple(fc.constantFrom("and" as const, "or" as const, "xor" as const), tie("e"), tie("e"))
      .map(([kind, left, right]): Expression => ({ kind, left, right })),
    fc
      .tuple(tie("e"), tie("e"), tie("e"))
      .map(([when, then, otherwise]): Expression => ({ kind: "choose", when, then, otherwise })),
  ),
})).e;
