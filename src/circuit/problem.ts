/** A span of the file's text: offsets in UTF-16 units, the end exclusive. */
export interface Span {
  readonly start: number;
  readonly end: number;
}

/** Where in a file: lines and columns count from 1, the end is exclusive. */
export interface Place {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
}

/** What is wrong, in words: made in `messages.ts` only. */
export interface Complaint {
  /** `error` where no circuit comes of the file; `warning` where the circuit stands but is likely not meant so. */
  readonly severity: "error" | "warning";
  /** Stable name of the mistake: `unknown-pin`. */
  readonly code: string;
  /** What is wrong, one line without a full stop. */
  readonly message: string;
  /** What was expected instead. */
  readonly expected?: string;
  /** The nearest name that exists, or what to write instead. */
  readonly suggestion?: string;
}

/** One mistake in a file. */
export type Problem = Place & Complaint;

/** One line for one problem: `tide.yaml:14:9: no pin CLKR on 74HC163: did you mean CLR#?` */
export function formatProblem(problem: Problem): string {
  const { file, line, column, severity, message, expected, suggestion } = problem;
  const parts = [`${file}:${line}:${column}`, ...(severity === "warning" ? ["warning"] : []), message];
  if (suggestion !== undefined) parts.push(`did you mean ${suggestion}?`);
  else if (expected !== undefined) parts.push(`expected ${expected}`);
  return parts.join(": ");
}

/** In the order of the file. */
export function byPlace(a: Problem, b: Problem): number {
  return a.line - b.line || a.column - b.column || (a.message < b.message ? -1 : a.message > b.message ? 1 : 0);
}
