import type { Complaint } from "./problem.js";
import type { Path, Value } from "./value.js";

/** How messages show names, lists and places: what `messages.ts` and its like for other files make their words of. */

type Extra =
  Pick<Complaint, "expected" | "suggestion"> | { expected?: string | undefined; suggestion?: string | undefined };

/** One complaint, its texts on one line each and not too long. */
export function complaint(severity: Complaint["severity"], code: string, message: string, extra: Extra): Complaint {
  const { expected, suggestion } = extra;
  return {
    severity,
    code,
    message: cut(oneLine(message), 400),
    ...(expected === undefined ? {} : { expected: cut(oneLine(expected), 400) }),
    ...(suggestion === undefined ? {} : { suggestion }),
  };
}

export const error = (code: string, message: string, extra: Extra = {}) => complaint("error", code, message, extra);
export const warning = (code: string, message: string, extra: Extra = {}) => complaint("warning", code, message, extra);

export function oneLine(text: string): string {
  return text
    .slice(0, 2000)
    .replaceAll(/[\s\p{Cc}\u2028\u2029]+/gu, " ")
    .trim();
}

/** The text, or its begin where it is longer. */
export function cut(text: string, most: number): string {
  return text.length <= most ? text : `${text.slice(0, most - 3)}...`;
}

/** Text from the file as a message shows it: short, and on one line. */
export function quote(text: string): string {
  return `'${cut(oneLine(text), 40)}'`;
}

/** A name as a message shows it. */
export function name(text: string): string {
  return cut(oneLine(text), 48);
}

/** The first few of a list, and how many more there are. */
export function list(items: readonly string[], most = 8): string {
  if (items.length <= most) return items.map(name).join(", ");
  return `${items.slice(0, most).map(name).join(", ")} and ${items.length - most} more`;
}

/** `A, B or C`, five at most. */
export function alternatives(names: readonly string[]): string {
  const few = names.slice(0, 5);
  return few.length < 2 ? few.join() : `${few.slice(0, -1).join(", ")} or ${few.at(-1)}`;
}

/** Where in a file's structure: `chips > U7 > pins`. */
export function where(path: Path): string {
  return path.length === 0 ? "the file" : path.map((step) => name(String(step))).join(" > ");
}

export function plural(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? "" : "s"}`;
}

/** A value of the file in a word or two. */
export function describe(value: Value): string {
  if (value === null) return "empty";
  if (Array.isArray(value)) return "a list";
  if (typeof value === "object") return "a map";
  return typeof value === "string" ? quote(value) : `the ${typeof value === "number" ? "number" : "value"} ${value}`;
}
