import { Lines } from "./lines.js";
import { nearest } from "./nearest.js";
import { type Complaint, type Place, type Problem, type Span, byPlace } from "./problem.js";

/** How many comparisons of names one file may cost; beyond it, mistakes are reported without a suggestion. */
const COMPARISONS = 200_000;

/** Collects the mistakes of one file. */
export class Report {
  private readonly lines: Lines;
  private readonly found = new Map<string, Problem>();
  private comparisons = 0;

  constructor(text: string, file: string) {
    this.lines = new Lines(text, file);
  }

  /** Notes a mistake; the same words at the same place count once. */
  add(span: Span, complaint: Complaint): void {
    this.found.set(`${span.start} ${complaint.message}`, { ...this.place(span), ...complaint });
  }

  place(span: Span): Place {
    return this.lines.place(span);
  }

  /** The nearest of `candidates`, to be offered in a complaint. */
  suggest(name: string, candidates: Iterable<string>): string | undefined {
    if (this.comparisons > COMPARISONS) return undefined;
    const list = [...candidates];
    this.comparisons += list.length;
    return nearest(name, list);
  }

  get hasErrors(): boolean {
    return [...this.found.values()].some(({ severity }) => severity === "error");
  }

  /** All mistakes in the order of the file. */
  get problems(): readonly Problem[] {
    return [...this.found.values()].sort(byPlace);
  }
}
