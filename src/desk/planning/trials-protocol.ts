import type { DeskFile } from "../protocol.js";

/** What the pages that try a text otherwise ask of their workers. */
export interface TrialsAsk {
  readonly kind: "bears" | "mends";
  readonly file: DeskFile;
}

/** Changes after which nothing fails, as proved. */
export interface Mended {
  /** What is changed, a clause each. */
  readonly changes: readonly string[];
  readonly text: string;
  /** `no chip more, least margin 1.20 ns` */
  readonly comesTo: string;
  /** Something happens at another time than before. */
  readonly movesTimes: boolean;
}

export type TrialsTold =
  | { readonly kind: "progress"; readonly done: number; readonly expected: number; readonly what: string }
  /** What is known so far, as markup of our own making: every name in it is escaped. */
  | { readonly kind: "known"; readonly html: string }
  | { readonly kind: "mended"; readonly repairs: readonly Mended[]; readonly sentence: string }
  | { readonly kind: "done" }
  | { readonly kind: "cannot"; readonly problem: string };
