import type { PlanFigures } from "./plan.js";

/**
 * What plans are compared by, each so that less is better. Estimates are compared no finer than they are good for: margins,
 * deviations, rates and waits in steps of 1, 2, 5, 10, 20 ..., dots in steps of a tenth, memory by how many pictures it holds.
 */
export const FIGURE_COLUMNS: readonly ((figures: PlanFigures) => number)[] = [
  ({ chips }) => chips,
  ({ marginNs }) => -stepDown(marginNs),
  ({ dots }) => -dotStep(dots),
  ({ colours }) => -colours,
  ({ filledPercent }) => -tenths(filledPercent),
  ({ bytesPerSecond }) => -stepDown(bytesPerSecond),
  ({ longestWaitNs }) => stepUp(longestWaitNs),
  ({ hasOwnClock }) => (hasOwnClock ? 0 : 1),
  ({ canRead }) => (canRead ? 0 : 1),
  ({ deviationPercent }) => deviationStep(deviationPercent),
  ({ pages }) => -Math.min(pages, MOST_PAGES),
];

/** More pictures than this in one memory are of no further use. */
export const MOST_PAGES = 4;

/** Steps of a tenth. */
export function dotStep(dots: number): number {
  return Math.floor(Math.log(dots) / Math.log(1.1));
}

export function tenths(percent: number): number {
  return Math.round(percent / 10);
}

/** 0 for what only an instrument would see. */
export function deviationStep(percent: number): number {
  return percent < 0.05 ? 0 : stepUp(percent);
}

/** Whether one plan's figures are at least as good in everything as another's, and better in something. */
export function beats(one: PlanFigures, other: PlanFigures): boolean {
  return FIGURE_COLUMNS.every((of) => of(one) <= of(other)) && FIGURE_COLUMNS.some((of) => of(one) < of(other));
}

/** The greatest of 1, 2, 5, 10, 20, 50 ... that is not above a value; 0 below 1. */
export function stepDown(value: number): number {
  if (value < 1) return 0;
  const decade = 10 ** Math.floor(Math.log10(value) + 1e-9);
  const digit = value / decade + 1e-9;
  return decade * (digit >= 5 ? 5 : digit >= 2 ? 2 : 1);
}

/** The least of ... 0.1, 0.2, 0.5, 1, 2, 5 ... that is not below a value above zero. */
export function stepUp(value: number): number {
  const decade = 10 ** Math.floor(Math.log10(value) + 1e-9);
  const digit = value / decade - 1e-9;
  return decade * (digit <= 1 ? 1 : digit <= 2 ? 2 : digit <= 5 ? 5 : 10);
}
