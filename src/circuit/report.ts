import { CIRCUIT_FILE, type FileKind } from "./file-kind.js";
import { LIMITS } from "./limits.js";
import { Lines } from "./lines.js";
import * as say from "./messages.js";
import { nearest } from "./nearest.js";
import { type Complaint, type Place, type Problem, type Span, byPlace } from "./problem.js";

/** How many comparisons of names one file may cost; beyond it, mistakes are reported without a suggestion. */
const COMPARISONS = 200_000;

/** How many mistakes of one severity are listed; a file with more is no circuit file with mistakes in it. */
const MOST_PROBLEMS = 1_000;

/** Collects the mistakes of one file, and keeps account of what reading it may cost. */
export class Report {
  /** What kind of file it is, for the messages. */
  readonly kind: FileKind;
  private readonly lines: Lines;
  private readonly found = { error: new Map<string, Problem>(), warning: new Map<string, Problem>() };
  private comparisons = 0;
  private names = 0;

  constructor(text: string, file: string, kind: FileKind = CIRCUIT_FILE) {
    this.kind = kind;
    this.lines = new Lines(text, file);
  }

  /** Notes a mistake; the same words at the same place count once. Returns undefined, the value of what is wrong. */
  add(span: Span, complaint: Complaint): undefined {
    const list = this.found[complaint.severity];
    if (list.size < MOST_PROBLEMS) {
      list.set(`${span.start} ${complaint.message}`, { ...this.place(span), ...complaint });
    } else if (list.size === MOST_PROBLEMS) {
      list.set("", { ...this.place(span), ...say.andMore(complaint.severity, MOST_PROBLEMS) });
    }
  }

  place(span: Span): Place {
    return this.lines.place(span);
  }

  /** The nearest of the candidates, to be offered in a complaint. They are listed only while comparing is worth its cost. */
  suggest(name: string, candidates: () => readonly string[]): string | undefined {
    if (this.comparisons > COMPARISONS) return undefined;
    const list = candidates();
    this.comparisons += list.length;
    return nearest(name, list);
  }

  /** Counts names written out from ranges; false, and noted once, when there are more than any circuit has. */
  countNames(count: number, at: Span): boolean {
    const hadRoom = !this.isOverfull;
    this.names += count;
    if (hadRoom && this.isOverfull) this.add(at, say.tooMany("names of pins and nets", LIMITS.names));
    return !this.isOverfull;
  }

  get isOverfull(): boolean {
    return this.names > LIMITS.names;
  }

  /** Whether no more errors are listed, so that a complaint need not be made in full. */
  get isFull(): boolean {
    return this.found.error.size > MOST_PROBLEMS;
  }

  get hasErrors(): boolean {
    return this.found.error.size > 0;
  }

  /** All mistakes in the order of the file. */
  get problems(): readonly Problem[] {
    return [...this.found.error.values(), ...this.found.warning.values()].sort(byPlace);
  }
}
