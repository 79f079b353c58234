import type { Plan, PlanFigures } from "./plan.js";

/** What a plan is best in among all that nothing beats. */
export type Distinction =
  | "fewest chips"
  | "largest margin"
  | "most dots"
  | "most colours"
  | "fastest writes"
  | "shortest wait"
  | "nearest to the raster"
  | "most memory left";

const MEASURES: readonly (readonly [Distinction, (figures: PlanFigures) => number])[] = [
  ["fewest chips", ({ chips }) => -chips],
  ["largest margin", ({ marginNs }) => marginNs],
  ["most dots", ({ dots }) => dots],
  ["most colours", ({ colours }) => colours],
  ["fastest writes", ({ bytesPerSecond }) => bytesPerSecond],
  ["shortest wait", ({ longestWaitNs }) => -longestWaitNs],
  ["nearest to the raster", ({ deviationPercent }) => -deviationPercent],
  ["most memory left", ({ memoryLeft }) => memoryLeft],
];

/** What each plan is best in; figures in which all are equal distinguish none. */
export function distinctionsOf(front: readonly Plan[]): ReadonlyMap<Plan, readonly Distinction[]> {
  const found = new Map<Plan, Distinction[]>(front.map((plan) => [plan, []]));
  for (const [name, of] of MEASURES) {
    const values = front.map(({ figures }) => of(figures));
    const best = values.reduce((most, value) => Math.max(most, value), -Infinity);
    if (values.every((value) => value === best)) continue;
    front.forEach((plan, index) => {
      if (values[index] === best) found.get(plan)?.push(name);
    });
  }
  return found;
}

/**
 * The plans to show of many, in their order: one for each distinction, the others then by the sum of their ranks in all
 * figures, which favours those that are bad at nothing.
 */
export function choosePlans(front: readonly Plan[], most: number): readonly Plan[] {
  if (front.length <= most) return front;
  const distinctions = distinctionsOf(front);
  const rank = ranks(front);
  const byRank = [...front].sort((a, b) => (rank.get(a) ?? 0) - (rank.get(b) ?? 0));
  const chosen = new Set<Plan>();
  for (const [name] of MEASURES) {
    const one = byRank.find((plan) => distinctions.get(plan)?.includes(name));
    if (one && chosen.size < most) chosen.add(one);
  }
  for (const plan of byRank) if (chosen.size < most) chosen.add(plan);
  return front.filter((plan) => chosen.has(plan));
}

function ranks(front: readonly Plan[]): ReadonlyMap<Plan, number> {
  const sums = new Map<Plan, number>();
  for (const [, of] of MEASURES) {
    const values = [...new Set(front.map(({ figures }) => of(figures)))].sort((a, b) => b - a);
    const places = new Map(values.map((value, index) => [value, index / values.length]));
    for (const plan of front) sums.set(plan, (sums.get(plan) ?? 0) + (places.get(of(plan.figures)) ?? 0));
  }
  return sums;
}
