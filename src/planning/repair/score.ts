import type { Change } from "./change.js";
import type { Evaluation } from "./evaluate.js";
import { placesOf } from "./places.js";

/** Some changes and what a proof says of the text with them. */
interface Changed {
  readonly changes: readonly Change[];
  readonly evaluation: Evaluation;
}

export function isWell({ failing, electrical }: Evaluation): boolean {
  return failing.length === 0 && electrical.length === 0;
}

/** Less is better: places that fail first, then by how much. */
export function scoreOf({ failing, electrical }: Evaluation): number {
  const places = placesOf(failing).length + electrical.length;
  const short = failing.reduce((sum, { margin }) => sum + Math.min(1e8, -(margin ?? -1e7)), 0);
  return places + short / 1e12;
}

/** The nearest to a repair first. */
export function byScore(one: Changed, other: Changed): number {
  return scoreOf(one.evaluation) - scoreOf(other.evaluation) || one.changes.length - other.changes.length;
}

/** Of repairs, the smallest first. */
export function bySize(one: Changed, other: Changed): number {
  return costOf(one) - costOf(other) || marginOf(other) - marginOf(one);
}

function costOf({ changes }: Changed): number {
  return changes.length + changes.reduce((sum, { chips }) => sum + chips, 0);
}

function marginOf({ evaluation }: Changed): number {
  return evaluation.leastMargin ?? 0;
}
