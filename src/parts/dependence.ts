import { type Expression, namesIn } from "./expression.js";

/** The levels that a name can have: bit 0 set where it can be low, bit 1 where it can be high. */
export type Levels = 1 | 2 | 3;
export const LOW = 1;
export const HIGH = 2;
export const EITHER = 3;

/** What is known of names; a name that is absent can be either. */
export type Known = ReadonlyMap<string, Levels>;

const ALL_UNKNOWN: Known = new Map();

/** Cases tried before `possibleLevels` settles for either: every assignment of twelve names. */
const CASES = 2 ** 12;

/**
 * The levels that an expression can have while its names vary independently within what is known. Exact; where more than
 * twelve names that occur repeatedly are open, `EITHER` may be said where one level is impossible.
 */
export function possibleLevels(expression: Expression, known: Known = ALL_UNKNOWN): Levels {
  return explore(expression, known, { cases: CASES });
}

/**
 * Whether a change of `name` alone can change the expression's value, for some levels of the other names within what is
 * known (what is known of `name` itself does not count). Exact up to twelve open names, else never a false no.
 */
export function dependsOn(expression: Expression, name: string, known: Known = ALL_UNKNOWN): boolean {
  return (possibleLevels(differenceOf(expression, name), known) & HIGH) !== 0;
}

/** The difference of an expression by a name is asked for at every clock edge, so it is kept. */
const differences = new WeakMap<Expression, Map<string, Expression>>();

function differenceOf(expression: Expression, name: string): Expression {
  const kept = differences.get(expression) ?? new Map<string, Expression>();
  differences.set(expression, kept);
  const difference = kept.get(name) ?? differenceBy(expression, name);
  kept.set(name, difference);
  return difference;
}

/** How the expression can answer a rise of `name`, other names within what is known: rising, falling, both or neither. */
export function responseTo(
  expression: Expression,
  name: string,
  known: Known = ALL_UNKNOWN,
): { readonly rises: boolean; readonly falls: boolean } {
  const direction = directionOf(expression, name);
  if (direction !== "mixed") {
    const answers = dependsOn(expression, name, known);
    return { rises: answers && direction === "same", falls: answers && direction === "opposite" };
  }
  const low = substitute(expression, name, 0);
  const high = substitute(expression, name, 1);
  const can = (before: Expression, after: Expression) =>
    (possibleLevels({ kind: "and", left: not(before), right: after }, known) & HIGH) !== 0;
  return { rises: can(low, high), falls: can(high, low) };
}

/** Which way the expression goes with `name`, as far as its writing shows. */
function directionOf(expression: Expression, name: string): "same" | "opposite" | "mixed" {
  const signs = new Set<"same" | "opposite" | "mixed">();
  const visit = (e: Expression, sign: "same" | "opposite" | "mixed"): void => {
    switch (e.kind) {
      case "constant":
        return;
      case "name":
        if (e.name === name) signs.add(sign);
        return;
      case "not":
        return visit(e.of, sign === "mixed" ? sign : sign === "same" ? "opposite" : "same");
      case "and":
      case "or":
      case "xor":
        for (const part of [e.left, e.right]) visit(part, e.kind === "xor" ? "mixed" : sign);
        return;
      case "choose":
        visit(e.when, "mixed");
        visit(e.then, sign);
        return visit(e.otherwise, sign);
    }
  };
  visit(expression, "same");
  const [only] = signs;
  return signs.size > 1 ? "mixed" : (only ?? "same");
}

/** Explores case by case; parts of an expression that share no open name are explored apart. */
function explore(expression: Expression, known: Known, budget: { cases: number }): Levels {
  const quick = assumingIndependence(expression, known);
  if (quick !== EITHER) return quick;
  switch (expression.kind) {
    case "constant":
    case "name":
      return quick;
    case "not":
      return inverted(explore(expression.of, known, budget));
    case "and":
    case "or":
    case "xor": {
      const shared = sharedOpenName([expression.left, expression.right], known);
      if (shared !== undefined) return byCases(expression, shared, known, budget);
      return combined(
        expression.kind,
        explore(expression.left, known, budget),
        explore(expression.right, known, budget),
      );
    }
    case "choose": {
      const { when, then, otherwise } = expression;
      const chosen = assumingIndependence(when, known);
      if (chosen === HIGH) return explore(then, known, budget);
      if (chosen === LOW) return explore(otherwise, known, budget);
      // The branches never count together, so names that only they share are no bond.
      const shared = sharedOpenName([when, then], known) ?? sharedOpenName([when, otherwise], known);
      if (shared !== undefined) return byCases(expression, shared, known, budget);
      return choice(explore(when, known, budget), explore(then, known, budget), explore(otherwise, known, budget));
    }
  }
}

function byCases(expression: Expression, name: string, known: Known, budget: { cases: number }): Levels {
  let levels = 0;
  for (const level of [LOW, HIGH] as const) {
    if (budget.cases-- <= 0) return EITHER;
    levels |= explore(expression, new Map(known).set(name, level), budget);
    if (levels === EITHER) return EITHER;
  }
  return levels as Levels;
}

/** The levels if every occurrence of a name varied by itself: exact where each occurs once, else possibly too wide. */
function assumingIndependence(expression: Expression, known: Known): Levels {
  switch (expression.kind) {
    case "constant":
      return expression.value ? HIGH : LOW;
    case "name":
      return known.get(expression.name) ?? EITHER;
    case "not":
      return inverted(assumingIndependence(expression.of, known));
    case "and":
    case "or":
    case "xor":
      return combined(
        expression.kind,
        assumingIndependence(expression.left, known),
        assumingIndependence(expression.right, known),
      );
    case "choose":
      return choice(
        assumingIndependence(expression.when, known),
        assumingIndependence(expression.then, known),
        assumingIndependence(expression.otherwise, known),
      );
  }
}

function inverted(levels: Levels): Levels {
  return levels === EITHER ? EITHER : levels === LOW ? HIGH : LOW;
}

function combined(kind: "and" | "or" | "xor", left: Levels, right: Levels): Levels {
  if (kind === "or") return inverted(combined("and", inverted(left), inverted(right)));
  if (kind === "and") return (((left | right) & LOW) | (left & right & HIGH)) as Levels;
  if (left === EITHER || right === EITHER) return EITHER;
  return left === right ? LOW : HIGH;
}

function choice(when: Levels, then: Levels, otherwise: Levels): Levels {
  return (((when & HIGH) !== 0 ? then : 0) | ((when & LOW) !== 0 ? otherwise : 0)) as Levels;
}

function sharedOpenName(parts: readonly Expression[], known: Known): string | undefined {
  const seen = new Set<string>();
  for (const part of parts) {
    const open = namesIn(part).filter((name) => (known.get(name) ?? EITHER) === EITHER);
    const shared = open.find((name) => seen.has(name));
    if (shared !== undefined) return shared;
    for (const name of open) seen.add(name);
  }
  return undefined;
}

/** The Boolean difference: true exactly where a change of `name` changes the expression. */
function differenceBy(expression: Expression, name: string): Expression {
  if (!namesIn(expression).includes(name)) return FALSE;
  switch (expression.kind) {
    case "constant":
      return FALSE;
    case "name":
      return { kind: "constant", value: 1 };
    case "not":
      return differenceBy(expression.of, name);
    case "and":
    case "or": {
      const { left, right } = expression;
      const [inLeft, inRight] = [left, right].map((part) => namesIn(part).includes(name));
      if (inLeft && inRight) break;
      const [inside, outside] = inLeft ? [left, right] : [right, left];
      const passes = expression.kind === "and" ? outside : not(outside);
      return { kind: "and", left: differenceBy(inside, name), right: passes };
    }
    case "xor":
      return {
        kind: "xor",
        left: differenceBy(expression.left, name),
        right: differenceBy(expression.right, name),
      };
    case "choose": {
      const { when, then, otherwise } = expression;
      if (namesIn(when).includes(name)) break;
      return { kind: "choose", when, then: differenceBy(then, name), otherwise: differenceBy(otherwise, name) };
    }
  }
  return { kind: "xor", left: substitute(expression, name, 0), right: substitute(expression, name, 1) };
}

const FALSE: Expression = { kind: "constant", value: 0 };

function not(of: Expression): Expression {
  return { kind: "not", of };
}

function substitute(expression: Expression, name: string, value: 0 | 1): Expression {
  switch (expression.kind) {
    case "constant":
      return expression;
    case "name":
      return expression.name === name ? { kind: "constant", value } : expression;
    case "not":
      return not(substitute(expression.of, name, value));
    case "and":
    case "or":
    case "xor":
      return {
        kind: expression.kind,
        left: substitute(expression.left, name, value),
        right: substitute(expression.right, name, value),
      };
    case "choose":
      return {
        kind: "choose",
        when: substitute(expression.when, name, value),
        then: substitute(expression.then, name, value),
        otherwise: substitute(expression.otherwise, name, value),
      };
  }
}

/** The expression with every name replaced by what `as` gives for it. */
export function renamed(expression: Expression, as: (name: string) => string): Expression {
  switch (expression.kind) {
    case "constant":
      return expression;
    case "name":
      return { kind: "name", name: as(expression.name) };
    case "not":
      return not(renamed(expression.of, as));
    case "and":
    case "or":
    case "xor":
      return { kind: expression.kind, left: renamed(expression.left, as), right: renamed(expression.right, as) };
    case "choose":
      return {
        kind: "choose",
        when: renamed(expression.when, as),
        then: renamed(expression.then, as),
        otherwise: renamed(expression.otherwise, as),
      };
  }
}
