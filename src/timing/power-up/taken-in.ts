import type { Expression } from "../../parts/index.js";
import { both, constant, either, inverse } from "./fold.js";

/** What a name of an expression stands for: a mark, a level that is known, or what comes from elsewhere and is taken in. */
export type Source = (name: string) => "mark" | "level" | "elsewhere";

/** Whether an expression follows from what is taken in, and where known levels alone decide what it is. */
interface Taken {
  readonly isTaken: Expression;
  readonly isHigh: Expression;
  readonly isLow: Expression;
}

/**
 * High where what an expression shows follows from what is taken in: all that is marked in it is, or known levels leave the
 * rest without a say, as a low input of a NAND does.
 */
export function takenInOf(expression: Expression, sourceOf: Source): Expression {
  return takenOf(expression, sourceOf).isTaken;
}

function takenOf(expression: Expression, sourceOf: Source): Taken {
  const of = (part: Expression) => takenOf(part, sourceOf);
  switch (expression.kind) {
    case "constant":
      return levelOf(expression);
    case "name": {
      const source = sourceOf(expression.name);
      if (source === "level") return levelOf(expression);
      return { isTaken: source === "mark" ? expression : HIGH, isHigh: LOW, isLow: LOW };
    }
    case "not":
      return opposite(of(expression.of));
    case "and":
      return conjunction(of(expression.left), of(expression.right));
    case "or":
      return opposite(conjunction(opposite(of(expression.left)), opposite(of(expression.right))));
    case "xor": {
      const [left, right] = [of(expression.left), of(expression.right)];
      return choice(left, opposite(right), right);
    }
    case "choose":
      return choice(of(expression.when), of(expression.then), of(expression.otherwise));
  }
}

const HIGH = constant(1);
const LOW = constant(0);

function levelOf(expression: Expression): Taken {
  return { isTaken: HIGH, isHigh: expression, isLow: inverse(expression) };
}

function opposite({ isTaken, isHigh, isLow }: Taken): Taken {
  return { isTaken, isHigh: isLow, isLow: isHigh };
}

function conjunction(left: Taken, right: Taken): Taken {
  const isLow = either(left.isLow, right.isLow);
  return {
    isTaken: either(both(left.isTaken, right.isTaken), isLow),
    isHigh: both(left.isHigh, right.isHigh),
    isLow,
  };
}

function choice(when: Taken, then: Taken, otherwise: Taken): Taken {
  const known = (which: "isHigh" | "isLow") =>
    either(both(when.isHigh, then[which]), both(when.isLow, otherwise[which]));
  const byLevel = either(both(when.isHigh, then.isTaken), both(when.isLow, otherwise.isTaken));
  const all = both(when.isTaken, both(then.isTaken, otherwise.isTaken));
  return { isTaken: either(all, byLevel), isHigh: known("isHigh"), isLow: known("isLow") };
}
