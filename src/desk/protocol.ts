import type { OwnPartsText, Problem } from "../circuit/index.js";
import type { SentLayout } from "./live/protocol.js";
import type { Answered } from "./report/protocol.js";
import type { VerdictState } from "../paper/index.js";

/** The builder's questions, a page each. */
export const questions = ["plan", "lock", "slots", "picture", "wiring", "fill", "bench"] as const;
export type Question = (typeof questions)[number];

/** A circuit file as it stands on the desk. */
export interface DeskFile {
  readonly name: string;
  readonly text: string;
  /** The own parts file that it names, where the desk was given one. */
  readonly ownParts?: OwnPartsText;
}

/** What the page asks of the worker; `width` is what drawings have room for, in px. A `revision` counts the texts; every answer carries that of its text. */
export type Ask =
  | { readonly kind: "judge"; readonly revision: number; readonly file: DeskFile; readonly width: number }
  /** Which margins moved from another version to the text that was judged last. */
  | { readonly kind: "compare"; readonly revision: number; readonly file: DeskFile }
  | { readonly kind: "choose"; readonly verdict: string; readonly width: number }
  /** Draws the memory cycle, or the chains of the chosen verdict, at another width. */
  | { readonly kind: "draw"; readonly drawing: Drawing; readonly verdict: string; readonly width: number }
  | { readonly kind: "part"; readonly number: string }
  | { readonly kind: "report" };

/** Drawings that can be drawn wider, so that more of their time is told apart. */
export type Drawing = "memory-cycle" | "chain";

/** One line under a question: its state where something is judged, and the answer with its number. */
export interface AnswerLine {
  readonly state?: VerdictState;
  readonly text: string;
}

/** The names that the editor offers. */
export interface Names {
  readonly parts: readonly string[];
  readonly nets: readonly string[];
  /** Signal pins of each chip by its name. */
  readonly pins: Readonly<Record<string, readonly string[]>>;
}

/** What the worker tells the page. `html` is markup of our own making: every name in it is escaped. */
export type Told =
  | {
      readonly kind: "read";
      readonly revision: number;
      readonly problems: readonly Problem[];
      /** Absent where the file has mistakes. */
      readonly title?: string;
      readonly names?: Names;
    }
  | {
      readonly kind: "answer";
      readonly revision: number;
      readonly question: Question;
      readonly lines: readonly AnswerLine[];
      readonly html: string;
      /** More is to come for this question: bounds alone, not yet looked for on boards. */
      readonly isProvisional: boolean;
    }
  /** Where the memory's bits are seen; absent where that is not known. */
  | { readonly kind: "layout"; readonly revision: number; readonly layout?: SentLayout }
  | { readonly kind: "progress"; readonly revision: number; readonly label: string; readonly share?: number }
  | { readonly kind: "done"; readonly revision: number }
  /** In place of `done`: what bounds leave open can be decided by the worker that has all of the engines. */
  | { readonly kind: "undecided"; readonly revision: number }
  | { readonly kind: "compared"; readonly revision: number; readonly html: string }
  | { readonly kind: "chosen"; readonly verdict: string; readonly html: string }
  | { readonly kind: "drawn"; readonly drawing: Drawing; readonly html: string }
  | { readonly kind: "part"; readonly number: string; readonly html: string }
  /** What a report is made of; absent where the file has mistakes. */
  | { readonly kind: "report"; readonly answered?: Answered; readonly file?: DeskFile }
  | { readonly kind: "failed"; readonly revision: number; readonly what: string };
