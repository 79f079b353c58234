import { type Expression, dependsOn, namesIn } from "../../parts/index.js";

/** Beyond so many names an expression is left as it is written. */
const MOST_NAMES = 12;

/** What a name becomes: a level, or another name. */
type Meaning = (name: string) => 0 | 1 | string;

export const constant = (value: 0 | 1): Expression => ({ kind: "constant", value });

/** The level of an expression that reads nothing; undefined of any other. */
export function constantOf(expression: Expression): 0 | 1 | undefined {
  return expression.kind === "constant" ? expression.value : undefined;
}

/** The names that an expression reads. */
export function namesOf(expression: Expression): readonly string[] {
  return namesIn(expression);
}

/** The expression with known levels put in and worked out as far as they go: what they make idle is not read any more. */
export function folded(expression: Expression, meaning: Meaning): Expression {
  switch (expression.kind) {
    case "constant":
      return expression;
    case "name": {
      const found = meaning(expression.name);
      return typeof found === "string" ? { kind: "name", name: found } : constant(found);
    }
    case "not":
      return inverse(folded(expression.of, meaning));
    case "and":
      return both(folded(expression.left, meaning), folded(expression.right, meaning));
    case "or":
      return either(folded(expression.left, meaning), folded(expression.right, meaning));
    case "xor": {
      const [left, right] = [folded(expression.left, meaning), folded(expression.right, meaning)];
      if (left.kind === "constant") return left.value === 1 ? inverse(right) : right;
      if (right.kind === "constant") return right.value === 1 ? inverse(left) : left;
      return { kind: "xor", left, right };
    }
    case "choose": {
      const when = folded(expression.when, meaning);
      const [then, otherwise] = [folded(expression.then, meaning), folded(expression.otherwise, meaning)];
      if (when.kind === "constant") return when.value === 1 ? then : otherwise;
      if (then.kind === "constant" && otherwise.kind === "constant" && then.value === otherwise.value) return then;
      return { kind: "choose", when, then, otherwise };
    }
  }
}

/** The expression without names that it does not depend on, such as a flip-flop's own bit where J and K# are one net. */
export function withoutIdle(expression: Expression): Expression {
  const names = namesIn(expression);
  if (names.length > MOST_NAMES) return expression;
  const idle = new Set(names.filter((name) => !dependsOn(expression, name)));
  return idle.size === 0 ? expression : folded(expression, (name) => (idle.has(name) ? 0 : name));
}

export function inverse(expression: Expression): Expression {
  if (expression.kind === "constant") return constant(expression.value === 1 ? 0 : 1);
  return expression.kind === "not" ? expression.of : { kind: "not", of: expression };
}

export function both(left: Expression, right: Expression): Expression {
  if (left.kind === "constant") return left.value === 1 ? right : left;
  if (right.kind === "constant") return right.value === 1 ? left : right;
  return { kind: "and", left, right };
}

export function either(left: Expression, right: Expression): Expression {
  return inverse(both(inverse(left), inverse(right)));
}
