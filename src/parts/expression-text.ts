import type { Expression } from "./expression.js";

const tightness = { choose: 0, or: 1, xor: 2, and: 3, not: 4, name: 5, constant: 5 } as const;
const signs = { or: "|", xor: "^", and: "&" } as const;

/** An expression as `parseExpression` reads it, with no more parentheses than it needs. */
export function expressionText(expression: Expression): string {
  const inside = (part: Expression, least: number) => {
    const text = expressionText(part);
    return tightness[part.kind] < least ? `(${text})` : text;
  };
  switch (expression.kind) {
    case "constant":
      return String(expression.value);
    case "name":
      return expression.name;
    case "not":
      return `!${inside(expression.of, tightness.not)}`;
    case "and":
    case "or":
    case "xor": {
      const own = tightness[expression.kind];
      return `${inside(expression.left, own)} ${signs[expression.kind]} ${inside(expression.right, own + 1)}`;
    }
    case "choose": {
      const [when, then, otherwise] = [expression.when, expression.then, expression.otherwise];
      return `${inside(when, 1)} ? ${inside(then, 0)} : ${inside(otherwise, 0)}`;
    }
  }
}
