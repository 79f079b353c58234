import type { Orders } from "./decisions.js";
import type { Linear } from "./unknowns.js";

/** What an output shows: low, high, or nothing. */
export type Word = 0 | 1 | 2;

/** Between which femtoseconds after the oscillator's rise of a tick something comes, by the limits alone. */
export interface Span {
  readonly tick: number;
  readonly least: number;
  readonly most: number;
}

/** One edge at an output, or as it arrives at a pin. */
export interface OutputEdge {
  readonly time: Linear;
  readonly before: Word;
  readonly after: Word;
}

/** Edges of one output that come near each other: how many there are, and when, may rest on the order of others. */
export interface Bundle {
  readonly span: Span;
  readonly from: Word;
  readonly to: Word;
  /** Equal for bundles that differ in their ticks only. */
  readonly shape: number;
  /** Whether it is one edge on every board, whatever comes in which order. */
  readonly isOneEdge: boolean;
  /** Its edges in order of time, in the case that `orders` tells of. */
  edges(orders: Orders): readonly OutputEdge[];
}

/** An output before all its bundles, and these in order. */
export interface OutputWave {
  readonly first: Word;
  readonly bundles: readonly Bundle[];
}

/** Thrown where what happens cannot be told: data of unknown value, outside signals, latches, memories. */
export class NotTold extends Error {}

/** Thrown where a clock may have one edge more or less on some board. */
export class Race extends Error {}

/** Whether something is over, by the limits, before something else begins. */
export function isOverBefore(one: Span, other: Span, period: { readonly min: number; readonly max: number }): boolean {
  const ticks = other.tick - one.tick;
  return one.most < other.least + ticks * (ticks >= 0 ? period.min : period.max);
}

/** A span some time later. */
export function delayed({ tick, least, most }: Span, by: { readonly min: number; readonly max: number }): Span {
  return { tick, least: least + by.min, most: most + by.max };
}

/** The span that holds all of these, told from the tick of the first. */
export function hullOf(spans: readonly Span[], period: { readonly min: number; readonly max: number }): Span {
  const tick = spans[0]?.tick ?? 0;
  let [least, most] = [Infinity, -Infinity];
  for (const span of spans) {
    const ticks = span.tick - tick;
    least = Math.min(least, span.least + ticks * (ticks >= 0 ? period.min : period.max));
    most = Math.max(most, span.most + ticks * (ticks >= 0 ? period.max : period.min));
  }
  return { tick, least, most };
}
