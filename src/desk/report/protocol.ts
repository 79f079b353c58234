import type { ReportInput } from "../../paper/index.js";
import type { DeskFile } from "../protocol.js";

/** What the answers to a text have given for its report, in plain values that go from one worker to another. */
export type Answered = Pick<
  ReportInput,
  "verdicts" | "slots" | "coverage" | "electrical" | "cycle" | "accounts" | "seen"
>;

export interface ReportAsk {
  readonly file: DeskFile;
  readonly answered: Answered;
}

export type ReportTold =
  /** What is being worked out. */
  | { readonly kind: "progress"; readonly label: string }
  | { readonly kind: "made"; readonly html: string }
  | { readonly kind: "failed"; readonly what: string };
