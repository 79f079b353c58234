/**
 * The logic of a part in one small language, read by every engine: names of pins and storage bits, `0`, `1`, `!` not,
 * `&` and, `^` exclusive or, `|` or, `a ? b : c` choose, parentheses. Binding, tightest first: `!`, `&`, `^`, `|`, `? :`.
 * A name is letters, digits and underscores, then also `/ < = > '` as the sheets print them (`SH/LD#`, `QH'`), with a `#` for
 * a pin whose low level is the active one; its value is the level of the pin, so `CLR#` is true while the clear input is high.
 */
export type Expression =
  | { readonly kind: "constant"; readonly value: 0 | 1 }
  | { readonly kind: "name"; readonly name: string }
  | { readonly kind: "not"; readonly of: Expression }
  | { readonly kind: "and" | "or" | "xor"; readonly left: Expression; readonly right: Expression }
  | {
      readonly kind: "choose";
      readonly when: Expression;
      readonly then: Expression;
      readonly otherwise: Expression;
    };

/** Reads the text of an expression. Throws SyntaxError with the column (from 1) of the first mistake. */
export function parseExpression(text: string): Expression {
  const tokens = [...text.matchAll(/\s*(?:([A-Za-z0-9_][A-Za-z0-9_/<=>'#]*)|([!&|^?:()]))/gy)].map((match) => ({
    text: match[1] ?? match[2] ?? "",
    isName: match[1] !== undefined,
    column: match.index + match[0].length - (match[1] ?? match[2] ?? "").length + 1,
    end: match.index + match[0].length,
  }));
  const end = tokens.at(-1)?.end ?? 0;
  const unread = text.slice(end).search(/\S/);
  const unreadColumn = unread < 0 ? text.length + 1 : end + unread + 1;
  let position = 0;
  const peek = () => tokens[position]?.text;
  const fail = (expected: string): never => {
    const column = tokens[position]?.column ?? unreadColumn;
    throw new SyntaxError(`expected ${expected} at column ${column} of '${text}'`);
  };
  const take = (symbol: string) => (peek() === symbol ? (position++, true) : false);
  const expect = (symbol: string) => void (take(symbol) || fail(`'${symbol}'`));

  function choose(): Expression {
    const when = or();
    if (!take("?")) return when;
    const then = choose();
    expect(":");
    return { kind: "choose", when, then, otherwise: choose() };
  }
  function or(): Expression {
    let left = xor();
    while (take("|")) left = { kind: "or", left, right: xor() };
    return left;
  }
  function xor(): Expression {
    let left = and();
    while (take("^")) left = { kind: "xor", left, right: and() };
    return left;
  }
  function and(): Expression {
    let left = not();
    while (take("&")) left = { kind: "and", left, right: not() };
    return left;
  }
  function not(): Expression {
    if (take("!")) return { kind: "not", of: not() };
    if (take("(")) {
      const inner = choose();
      expect(")");
      return inner;
    }
    const token = tokens[position];
    if (!token?.isName) return fail("a name");
    position++;
    if (token.text === "0" || token.text === "1") return { kind: "constant", value: token.text === "1" ? 1 : 0 };
    return { kind: "name", name: token.text };
  }

  const expression = choose();
  if (position < tokens.length || unreadColumn <= text.length) {
    throw new SyntaxError(`unexpected text at column ${tokens[position]?.column ?? unreadColumn} of '${text}'`);
  }
  return expression;
}

/** The names that an expression reads, each once, in order of first appearance. */
export function namesIn(expression: Expression): readonly string[] {
  const names = new Set<string>();
  const visit = (e: Expression): void => {
    switch (e.kind) {
      case "constant":
        return;
      case "name":
        names.add(e.name);
        return;
      case "not":
        return visit(e.of);
      case "and":
      case "or":
      case "xor":
        visit(e.left);
        return visit(e.right);
      case "choose":
        visit(e.when);
        visit(e.then);
        return visit(e.otherwise);
    }
  };
  visit(expression);
  return [...names];
}

/** The value of an expression where every name has a known level. */
export function evaluate(expression: Expression, level: (name: string) => 0 | 1): 0 | 1 {
  switch (expression.kind) {
    case "constant":
      return expression.value;
    case "name":
      return level(expression.name);
    case "not":
      return evaluate(expression.of, level) ? 0 : 1;
    case "and":
      return evaluate(expression.left, level) ? evaluate(expression.right, level) : 0;
    case "or":
      return evaluate(expression.left, level) ? 1 : evaluate(expression.right, level);
    case "xor":
      return evaluate(expression.left, level) === evaluate(expression.right, level) ? 0 : 1;
    case "choose":
      return evaluate(expression.when, level)
        ? evaluate(expression.then, level)
        : evaluate(expression.otherwise, level);
  }
}
