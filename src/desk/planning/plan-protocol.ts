import type { WishKey, WishTexts } from "../../planning/index.js";

/** What the page asks of the worker that searches. A plan's number is its place among all that no other beats, from 1. */
export type PlanAsk =
  | { readonly kind: "search"; readonly texts: WishTexts }
  /** Reads a wish file. */
  | { readonly kind: "read"; readonly name: string; readonly text: string }
  | { readonly kind: "look"; readonly number: number }
  | { readonly kind: "write"; readonly number: number };

/** One plan in the figures that plans are compared by. */
export interface PlanLine {
  readonly number: number;
  readonly columns: number;
  readonly rows: number;
  readonly colours: number;
  readonly chips: number;
  readonly marginNs: number;
  readonly bytesPerSecond: number;
  readonly longestWaitNs: number;
  readonly deviationPercent: number;
  readonly memoryUsed: number;
  readonly memoryLeft: number;
  /** `640x480@60 from 25.175 MHz` */
  readonly from: string;
  /** RAM, logic and how the processor gets in. */
  readonly memory: string;
  readonly family: string;
  readonly sharing: string;
  readonly bestIn: readonly string[];
  /** A circuit of it can be written. */
  readonly isWritable: boolean;
}

export type PlanTold =
  | { readonly kind: "read"; readonly texts: WishTexts }
  | { readonly kind: "unreadable"; readonly problems: readonly string[] }
  | { readonly kind: "wrong"; readonly wrong: readonly { readonly key: WishKey; readonly text: string }[] }
  | {
      readonly kind: "found";
      /** How many combinations were searched, and of what. */
      readonly searched: string;
      readonly meeting: number;
      readonly plans: readonly PlanLine[];
      /** Numbers of the plans to show before the others. */
      readonly chosen: readonly number[];
    }
  /** Nothing meets the wishes; `waysOut` are looked for after it is known. */
  | {
      readonly kind: "none";
      readonly searched: string;
      readonly fallen: readonly string[];
      readonly waysOut?: readonly string[];
    }
  /** `chips` of the circuit that would be written, or why none can be. */
  | {
      readonly kind: "looked";
      readonly number: number;
      readonly sentences: readonly string[];
      readonly chips?: number;
      readonly obstacles: readonly string[];
    }
  | { readonly kind: "written"; readonly number: number; readonly text: string };
