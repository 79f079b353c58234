import type { StepView } from "./step-view.js";
import type { Level } from "./level.js";
import type { Signal } from "./structure.js";

/** One change of one signal: the how-manieth level that it takes. */
export interface Arrival {
  readonly signal: Signal;
  readonly stage: number;
  readonly level: Level;
}

/** More orders than this are not gone through. */
const MOST_ORDERS = 24;

/**
 * Every order in which the changes of some signals may come, as far as cause and effect leave it open. Undefined where there
 * are too many.
 */
export function ordersOf(step: StepView, signals: readonly Signal[]): readonly (readonly Arrival[])[] | undefined {
  const lists = signals.map((signal) =>
    step.changeOf(signal).stages.map((level, stage): Arrival => ({ signal, stage, level })),
  );
  const orders: Arrival[][] = [];
  const taken = lists.map(() => 0);
  const order: Arrival[] = [];
  const visit = (): boolean => {
    if (lists.every((list, index) => taken[index] === list.length)) return orders.push([...order]) <= MOST_ORDERS;
    for (const [index, list] of lists.entries()) {
      const next = list[taken[index] ?? 0];
      if (!next || mustWait(step, next.signal, lists, taken)) continue;
      taken[index] = (taken[index] ?? 0) + 1;
      order.push(next);
      const isFew = visit();
      order.pop();
      taken[index] = (taken[index] ?? 0) - 1;
      if (!isFew) return false;
    }
    return true;
  };
  return visit() ? orders : undefined;
}

/** Whether another signal's first change surely comes before any of this one. */
function mustWait(
  { ordering }: StepView,
  signal: Signal,
  lists: readonly (readonly Arrival[])[],
  taken: readonly number[],
): boolean {
  return lists.some(([first], index) => {
    if (!first || first.signal === signal || (taken[index] ?? 0) > 0) return false;
    return ordering.relation(first.signal, signal) === "before";
  });
}
