import type { Expression } from "./expression.js";

/** A logical function: index of a node; 0 is never true, 1 always. Equal numbers mean equal functions. */
export type Truth = number;

export const NEVER: Truth = 0;
export const ALWAYS: Truth = 1;

interface Node {
  readonly variable: number;
  readonly low: Truth;
  readonly high: Truth;
}

/**
 * Logical functions of named variables as reduced ordered decision diagrams (Bryant, IEEE Transactions on Computers C-35,
 * 1986): each function has one number, so that two descriptions are the same exactly where their numbers are. Variables
 * stand in the order of first mention.
 */
export class TruthDiagrams {
  readonly #variables: string[] = [];
  readonly #nodes: Node[] = [
    { variable: Infinity, low: 0, high: 0 },
    { variable: Infinity, low: 1, high: 1 },
  ];
  readonly #known = new Map<string, Truth>();
  readonly #chosen = new Map<string, Truth>();

  /** The function that is true where the variable is. */
  variable(name: string): Truth {
    const found = this.#variables.indexOf(name);
    return this.#node(found < 0 ? this.#variables.push(name) - 1 : found, NEVER, ALWAYS);
  }

  choose(when: Truth, then: Truth, otherwise: Truth): Truth {
    if (when === ALWAYS || then === otherwise) return then;
    if (when === NEVER) return otherwise;
    const key = `${when} ${then} ${otherwise}`;
    const known = this.#chosen.get(key);
    if (known !== undefined) return known;
    const parts = [when, then, otherwise];
    const variable = Math.min(...parts.map((part) => this.#at(part).variable));
    const branch = (side: "low" | "high") => {
      const [w = 0, t = 0, o = 0] = parts.map((part) => {
        const node = this.#at(part);
        return node.variable === variable ? node[side] : part;
      });
      return this.choose(w, t, o);
    };
    const result = this.#node(variable, branch("low"), branch("high"));
    this.#chosen.set(key, result);
    return result;
  }

  not(of: Truth): Truth {
    return this.choose(of, NEVER, ALWAYS);
  }

  and(left: Truth, right: Truth): Truth {
    return this.choose(left, right, NEVER);
  }

  xor(left: Truth, right: Truth): Truth {
    return this.choose(left, this.not(right), right);
  }

  /** The function of an expression, given what its names stand for. */
  of(expression: Expression, meaning: (name: string) => Truth): Truth {
    switch (expression.kind) {
      case "constant":
        return expression.value;
      case "name":
        return meaning(expression.name);
      case "not":
        return this.not(this.of(expression.of, meaning));
      case "and":
        return this.and(this.of(expression.left, meaning), this.of(expression.right, meaning));
      case "or":
        return this.choose(this.of(expression.left, meaning), ALWAYS, this.of(expression.right, meaning));
      case "xor":
        return this.xor(this.of(expression.left, meaning), this.of(expression.right, meaning));
      case "choose":
        return this.choose(
          this.of(expression.when, meaning),
          this.of(expression.then, meaning),
          this.of(expression.otherwise, meaning),
        );
    }
  }

  /** What is left of a function when some variables have a known level. */
  given(truth: Truth, levels: ReadonlyMap<string, 0 | 1>): Truth {
    const done = new Map<Truth, Truth>();
    const visit = (at: Truth): Truth => {
      if (at <= ALWAYS) return at;
      const known = done.get(at);
      if (known !== undefined) return known;
      const { variable, low, high } = this.#at(at);
      const level = levels.get(this.#variables[variable] ?? "");
      const result =
        level === undefined ? this.#node(variable, visit(low), visit(high)) : visit(level === 1 ? high : low);
      done.set(at, result);
      return result;
    };
    return visit(truth);
  }

  /** The variables that a function depends on. */
  namesIn(truth: Truth): ReadonlySet<string> {
    const names = new Set<string>();
    const seen = new Set<Truth>();
    const visit = (at: Truth): void => {
      if (at <= ALWAYS || seen.has(at)) return;
      seen.add(at);
      const { variable, low, high } = this.#at(at);
      names.add(this.#variables[variable] ?? "");
      visit(low);
      visit(high);
    };
    visit(truth);
    return names;
  }

  /** The variable that a function is the level of, or the opposite of its level; undefined for any other function. */
  literal(truth: Truth): { readonly name: string; readonly inverted: boolean } | undefined {
    const { variable, low, high } = this.#at(truth);
    if (truth <= ALWAYS || low > ALWAYS || high > ALWAYS) return undefined;
    return { name: this.#variables[variable] ?? "", inverted: low === ALWAYS };
  }

  #at(truth: Truth): Node {
    const node = this.#nodes[truth];
    if (!node) throw new RangeError(`no function ${truth}`);
    return node;
  }

  #node(variable: number, low: Truth, high: Truth): Truth {
    if (low === high) return low;
    const key = `${variable} ${low} ${high}`;
    const known = this.#known.get(key);
    if (known !== undefined) return known;
    const made = this.#nodes.push({ variable, low, high }) - 1;
    this.#known.set(key, made);
    return made;
  }
}
