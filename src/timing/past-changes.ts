import type { CellId } from "./model.js";
import type { Past, Region } from "./state.js";
import type { Step } from "./step.js";

/** The changes of a wave that are past, the last first; those that nobody asks for do not matter. */
export function* pastChanges(step: Step, cell: CellId): Iterable<Region> {
  for (const { region } of step.past(cell)) yield region;
}

/** The changes of a wave, the last first. */
export function* lastFirst(step: Step, cell: CellId): Iterable<Region> {
  yield* [...step.present(cell).regions].reverse();
  yield* pastChanges(step, cell);
}

/** The same without those that were over before a time, in fs. */
export function* lastFirstSince(step: Step, cell: CellId, since: number): Iterable<Region> {
  yield* [...step.present(cell).regions].reverse();
  const isOver = ({ region, wasLast }: Past) => wasLast && step.model.time.endOf(region.late) < since;
  for (const past of step.past(cell)) {
    if (isOver(past)) return;
    yield past.region;
  }
}

/** The change of a wave before this one. */
export function changeBefore(step: Step, cell: CellId, region: Region): Region | undefined {
  let isNext = false;
  for (const one of lastFirst(step, cell)) {
    if (isNext) return one;
    isNext = one === region;
  }
  return undefined;
}
