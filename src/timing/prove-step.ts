import type { Component } from "./components.js";
import type { CellId, Model } from "./model.js";
import type { Readings } from "./reading-tree.js";
import type { Outcome } from "./situations.js";
import type { Coming, Region } from "./state.js";
import { type ComingId, StateBook, type StateId } from "./state-book.js";
import { type FedRegion, Step, type StepMemory } from "./step.js";

/** What a step starts from. */
export interface StepStart {
  readonly coming: ComingId;
  readonly fed: readonly FedRegion[];
  /** The state of a cell as the tick begins. */
  readonly read: (cell: CellId) => StateId;
}

/** Runs one step of one component and notes what it read, so that the outcome can be looked up when the same is read again. */
export function proveStep(
  model: Model,
  book: StateBook,
  { component, memory }: { readonly component: Component; readonly memory: StepMemory },
  start: StepStart,
  choices: readonly number[],
): { readonly readings: Readings; readonly outcome: Outcome } {
  const readings: number[] = [];
  let chosen = 0;
  const step = new Step(model, component, {
    book,
    memory,
    read: start.read,
    note: (looked, found) => {
      readings.push(looked, found);
    },
    choose: (count) => {
      const taken = choices[chosen++] ?? 0;
      readings.push(-count, taken);
      return taken;
    },
  });
  const left = step.run(book.coming(start.coming), start.fed);
  return {
    readings,
    outcome: {
      writes: step.writes(component.cells),
      coming: book.comingId(left),
      checks: step.checks,
      feed: step.feed,
    },
  };
}

/** A book of the states of a model, in which changes that are over are forgotten after `horizon` ticks. */
export function bookOf(model: Model, horizon: number): StateBook {
  const endOf = ({ late }: Region) => model.time.endOf(late);
  return new StateBook(horizon, (coming) => ageComing(model, coming), endOf);
}

/** What is still to come, as the next tick sees it: openings as early, closings as late as the period allows. */
export function ageComing(model: Model, coming: readonly Coming[]): Coming[] {
  const { period } = model.time;
  return coming.map((item) => ({
    ...item,
    time: item.time - (item.what === "open" ? period.max : period.min),
    born: item.born - 1,
    regionBorn: item.regionBorn - 1,
  }));
}
