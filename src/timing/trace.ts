import { componentsOf } from "./components.js";
import type { CellId, Model } from "./model.js";
import { ageComing, bookOf } from "./prove-step.js";
import { Readers } from "./reactions.js";
import { startState } from "./start.js";
import type { Coming } from "./state.js";
import { type FedRegion, Step, type StepMemory } from "./step.js";
import { CellTables } from "./step-cells.js";
import { WaveChanges } from "./wave-changes.js";
import { noWork } from "./work.js";

/** A change of a wave with its bounds in femtoseconds after the oscillator's rise of tick 0 of the trace. */
export interface TracedChange {
  readonly cell: CellId;
  readonly from: number;
  readonly to: number;
  readonly clean: boolean;
  readonly earliest: number;
  readonly latest: number;
}

export interface Trace {
  readonly changes: readonly TracedChange[];
  /** Level of each cell's wave at power-up, a set; storage cells hold 0. */
  readonly start: readonly number[];
}

/** How long changes stay in view: longer than any chain of delays that is still running. */
const TRACE_HORIZON_TICKS = 64;

/**
 * One way that the circuit can go from power-up, for drawing: every change of every wave with its bounds. Where the circuit
 * cannot know, `choose` says which of the possibilities it takes. Times run on the mean period, so that a drawing over many
 * ticks does not drift.
 */
export function trace(model: Model, ticks: number, choose: (count: number, tick: number) => number): Trace {
  const components = componentsOf(model);
  const book = bookOf(model, TRACE_HORIZON_TICKS);
  const changesOfWaves = new WaveChanges(book, model.cellCount);
  const memories = components.map((component): StepMemory => {
    return {
      readers: new Readers(model, component),
      changes: changesOfWaves,
      tables: new CellTables(model.cellCount),
      work: noWork(),
    };
  });
  const startStates = startState(model);
  const start = startStates.map((state) =>
    state.kind === "wave" ? state.level : state.kind === "outside" ? state.wave.level : 0,
  );
  const states = startStates.map((state) => book.id(state));
  const comings: (readonly Coming[])[] = components.map(() => []);
  const done = new Map<string, TracedChange>();
  const period = (model.time.period.min + model.time.period.max) / 2;
  for (let tick = 0; tick < ticks; tick++) {
    const before = [...states];
    const feeds: (readonly FedRegion[])[] = [];
    for (const component of components) {
      const fed = component.upstream
        .flatMap((up) => (feeds[up.component] ?? []).filter(({ cell }) => up.cells.has(cell)))
        .sort((a, b) => a.time - b.time);
      const memory = memories[component.index];
      if (!memory) continue;
      const step = new Step(model, component, {
        ...{ book, memory },
        read: (cell) => before[cell] ?? 0,
        choose: (count) => choose(count, tick),
      });
      const coming = step.run(comings[component.index] ?? [], fed);
      comings[component.index] = ageComing(model, coming);
      feeds[component.index] = step.feed;
      const own = new Set(component.cells);
      for (const [cell, state] of step.written(component.cells)) states[cell] = state;
      for (const { cell, region } of step.feed) {
        if (!own.has(cell) || region.early.length === 0) continue;
        const bounds = {
          earliest: Math.min(...region.early.map((moment) => model.time.earliest(moment))),
          latest: Math.max(...(region.settled ? region.late : region.early).map((moment) => model.time.latest(moment))),
        };
        done.set(`${cell} ${tick + region.born} ${region.order}`, {
          cell,
          from: region.from,
          to: region.to,
          clean: region.clean,
          earliest: Math.round(bounds.earliest + tick * period),
          latest: Math.round(bounds.latest + tick * period),
        });
      }
    }
    states.forEach((state, cell) => {
      states[cell] = book.next(state);
    });
  }
  const changes = [...done.values()].sort((a, b) => a.earliest - b.earliest);
  return { changes, start };
}
