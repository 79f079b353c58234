import { type Expression, namesIn } from "../parts/index.js";
import { HIGH, LOW, UNDRIVEN, UNKNOWN, VALUE } from "./value.js";

/** Index of a node in `DecisionTables`; below `FIRST_NODE` it is an answer. */
export type DecisionRoot = number;

/** Answers are the values themselves; this one says that an unknown was met on the way and both ways must be looked at. */
export const UNSURE = 4;
export const FIRST_NODE = 5;

/**
 * Expressions as decision diagrams: each node asks for the value of one variable and goes on to another node or to the
 * answer. No way asks for the same variable twice, so looking at both ways wherever a variable is unknown tries every
 * combination of the unknowns: the answer is unknown only if it depends on them. (Unknowns count as independent, even where
 * two of them are opposites.)
 *
 * `variable[node]` is the variable asked for; `next[4 * node + value]` is where to go.
 */
export class DecisionTables {
  readonly variable: number[] = Array.from({ length: FIRST_NODE }, () => 0);
  readonly next: number[] = Array.from({ length: 4 * FIRST_NODE }, () => UNKNOWN);
  private readonly nodes = new Map<string, DecisionRoot>();

  /**
   * Adds an expression. `variableOf` gives the variable of each name. With `enable` the answer is "undriven" where that is
   * false.
   */
  add(value: Expression, variableOf: (name: string) => number, enable?: Expression): DecisionRoot {
    const made = new Map<string, DecisionRoot>();

    const expand = (value: Expression, enable: Expression): DecisionRoot => {
      if (enable.kind === "constant" && enable.value === 0) return UNDRIVEN;
      if (enable.kind === "constant" && value.kind === "constant") return value.value;
      const key = `${print(enable)}?${print(value)}`;
      const known = made.get(key);
      if (known !== undefined) return known;
      const [name = ""] = namesIn(enable.kind === "constant" ? value : enable);
      const [low, high] = ([0, 1] as const).map((level) =>
        expand(restrict(value, name, level), restrict(enable, name, level)),
      ) as [DecisionRoot, DecisionRoot];
      const node = this.node(variableOf(name), low, high);
      made.set(key, node);
      return node;
    };

    return expand(simplify(value), enable === undefined ? { kind: "constant", value: 1 } : simplify(enable));
  }

  private node(variable: number, low: DecisionRoot, high: DecisionRoot): DecisionRoot {
    if (low === high) return low;
    const key = `${variable} ${low} ${high}`;
    const known = this.nodes.get(key);
    if (known !== undefined) return known;
    const node = this.variable.length;
    this.variable.push(variable);
    this.next.push(low, high, UNSURE, UNSURE);
    this.nodes.set(key, node);
    return node;
  }

  /** The variables that a diagram can ask for. */
  variablesOf(root: DecisionRoot): Set<number> {
    const variables = new Set<number>();
    const visit = (node: DecisionRoot, seen: Set<DecisionRoot>): void => {
      if (node < FIRST_NODE || seen.has(node)) return;
      seen.add(node);
      variables.add(this.variable[node] ?? 0);
      visit(this.next[4 * node + LOW] ?? UNKNOWN, seen);
      visit(this.next[4 * node + HIGH] ?? UNKNOWN, seen);
    };
    visit(root, new Set());
    return variables;
  }
}

/** The answer to a diagram: a value. `variable` and `next` are the tables' arrays, `words` holds the variables. */
export function decide(root: DecisionRoot, variable: Int32Array, next: Int32Array, words: Int32Array): number {
  let node = root;
  while (node > UNSURE) {
    node = next[4 * node + ((words[variable[node] as number] as number) & VALUE)] as number;
  }
  return node === UNSURE ? decideUnsure(root, variable, next, words) : node;
}

/** The answer where some variable is unknown: what all ways agree on, or else unknown. */
function decideUnsure(root: DecisionRoot, variable: Int32Array, next: Int32Array, words: Int32Array): number {
  let node = root;
  while (node >= FIRST_NODE) {
    const value = (words[variable[node] as number] as number) & VALUE;
    if (value > HIGH) {
      const low = decideUnsure(next[4 * node + LOW] as number, variable, next, words);
      if (low === UNKNOWN) return UNKNOWN;
      const high = decideUnsure(next[4 * node + HIGH] as number, variable, next, words);
      return low === high ? low : UNKNOWN;
    }
    node = next[4 * node + value] as number;
  }
  return node;
}

/** The expression with one name given, as short as constants make it. */
function restrict(e: Expression, name: string, level: 0 | 1): Expression {
  return rebuild(e, (found) => (found === name ? { kind: "constant", value: level } : undefined));
}

function simplify(e: Expression): Expression {
  return rebuild(e, () => undefined);
}

function rebuild(e: Expression, replace: (name: string) => Expression | undefined): Expression {
  switch (e.kind) {
    case "constant":
      return e;
    case "name":
      return replace(e.name) ?? e;
    case "not":
      return negate(rebuild(e.of, replace));
    case "and": {
      const left = rebuild(e.left, replace);
      if (left.kind === "constant") return left.value ? rebuild(e.right, replace) : left;
      const right = rebuild(e.right, replace);
      if (right.kind === "constant") return right.value ? left : right;
      return { kind: "and", left, right };
    }
    case "or": {
      const left = rebuild(e.left, replace);
      if (left.kind === "constant") return left.value ? left : rebuild(e.right, replace);
      const right = rebuild(e.right, replace);
      if (right.kind === "constant") return right.value ? right : left;
      return { kind: "or", left, right };
    }
    case "xor": {
      const left = rebuild(e.left, replace);
      const right = rebuild(e.right, replace);
      if (left.kind === "constant") return left.value ? negate(right) : right;
      if (right.kind === "constant") return right.value ? negate(left) : left;
      return { kind: "xor", left, right };
    }
    case "choose": {
      const when = rebuild(e.when, replace);
      if (when.kind === "constant") return rebuild(when.value ? e.then : e.otherwise, replace);
      const then = rebuild(e.then, replace);
      const otherwise = rebuild(e.otherwise, replace);
      return { kind: "choose", when, then, otherwise };
    }
  }
}

function negate(e: Expression): Expression {
  if (e.kind === "constant") return { kind: "constant", value: e.value ? 0 : 1 };
  return e.kind === "not" ? e.of : { kind: "not", of: e };
}

function print(e: Expression): string {
  switch (e.kind) {
    case "constant":
      return String(e.value);
    case "name":
      return e.name;
    case "not":
      return `!${print(e.of)}`;
    case "and":
    case "or":
    case "xor":
      return `(${print(e.left)} ${e.kind} ${print(e.right)})`;
    case "choose":
      return `(${print(e.when)}?${print(e.then)}:${print(e.otherwise)})`;
  }
}
