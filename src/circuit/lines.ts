import type { Place, Span } from "./problem.js";

/** Turns offsets in a text into lines and columns. */
export class Lines {
  private readonly file: string;
  /** Offset at which each line begins. */
  private readonly starts: readonly number[];

  constructor(text: string, file: string) {
    this.file = file;
    const starts = [0];
    for (let at = text.indexOf("\n"); at !== -1; at = text.indexOf("\n", at + 1)) starts.push(at + 1);
    this.starts = starts;
  }

  place(span: Span): Place {
    const begin = this.position(span.start);
    const end = this.position(Math.max(span.start, span.end));
    return { file: this.file, ...begin, endLine: end.line, endColumn: end.column };
  }

  private position(offset: number): { line: number; column: number } {
    let low = 0;
    let high = this.starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.starts[middle] ?? 0) <= offset) low = middle;
      else high = middle - 1;
    }
    return { line: low + 1, column: offset - (this.starts[low] ?? 0) + 1 };
  }
}
