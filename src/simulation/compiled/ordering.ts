import { type CauseGraph, FALL, type Move, RISE } from "./causes.js";
import type { Signal } from "./structure.js";

/** When the changes of one signal come, seen from those of another, after one and the same outside change. */
export type Relation = "before" | "after" | "either";

/**
 * What can follow from one outside change (an oscillator's edge, say), and in which order as far as cause and effect tell:
 * one signal changes after another where every way from the outside change to it leads through the other. Delays have no
 * say in it, so where two ways part and meet again the order is open.
 */
export class Ordering {
  /** The outside changes. */
  readonly roots: readonly Move[];
  private readonly causes: CauseGraph;
  private readonly still: ReadonlySet<Move>;
  private readonly reached: Uint8Array;
  private readonly without = new Map<number, Uint8Array>();

  /** `still` are moves that are known not to be made. */
  constructor(causes: CauseGraph, roots: readonly Move[], still: ReadonlySet<Move> = new Set()) {
    this.causes = causes;
    this.roots = roots;
    this.still = still;
    this.reached = this.reach([]);
  }

  /** The same where some signals are known to stay as they are. */
  restrictedTo(moves: (signal: Signal) => boolean): Ordering {
    const still = new Set<Move>();
    for (let move = 0; move < this.reached.length; move++) if (!moves(move >> 1)) still.add(move);
    return new Ordering(this.causes, this.roots, still);
  }

  /** Whether a signal can change at all. */
  canChange(signal: Signal): boolean {
    return this.reached[2 * signal] === 1 || this.reached[2 * signal + 1] === 1;
  }

  canRise(signal: Signal): boolean {
    return this.reached[2 * signal + RISE] === 1;
  }

  canFall(signal: Signal): boolean {
    return this.reached[2 * signal + FALL] === 1;
  }

  /**
   * When `one` changes, seen from `other`. Both can change, and are not the same signal. For `other` changing more than once
   * this speaks of its first change only where the answer is "after".
   */
  relation(one: Signal, other: Signal): Relation {
    if (this.isOnlyBehind(one, other)) return "after";
    return this.isOnlyBehind(other, one) ? "before" : "either";
  }

  /** Whether a signal can change on a way that does not lead through `other`. */
  canChangeBeside(signal: Signal, other: Signal): boolean {
    return !this.isOnlyBehind(signal, other);
  }

  /** Whether every way to `one` leads through `other`. */
  private isOnlyBehind(one: Signal, other: Signal): boolean {
    const without = this.reachWithout(other);
    return without[2 * one] !== 1 && without[2 * one + 1] !== 1;
  }

  private reachWithout(signal: Signal): Uint8Array {
    let without = this.without.get(signal);
    if (!without) {
      without = this.reach([signal]);
      this.without.set(signal, without);
    }
    return without;
  }

  /** What can follow on ways that avoid some signals. */
  private reach(avoid: readonly Signal[]): Uint8Array {
    return this.causes.reach(this.roots, new Set([...this.still, ...avoid.flatMap((s) => [2 * s, 2 * s + 1])]));
  }
}
