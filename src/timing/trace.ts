import { componentsOf } from "./components.js";
import type { CellId, Model } from "./model.js";
import { ageComing } from "./prove-step.js";
import { startState } from "./start.js";
import { type CellState, type Coming, age } from "./state.js";
import { type FedRegion, Step } from "./step.js";

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
  const states: CellState[] = startState(model);
  const start = states.map((state) =>
    state.kind === "wave" ? state.level : state.kind === "outside" ? state.wave.level : 0,
  );
  const comings: (readonly Coming[])[] = components.map(() => []);
  const done = new Map<string, TracedChange>();
  const period = (model.time.period.min + model.time.period.max) / 2;
  for (let tick = 0; tick < ticks; tick++) {
    const before = states.map((state) => state);
    const feeds: (readonly FedRegion[])[] = [];
    for (const component of components) {
      const fed = component.upstream
        .flatMap((up) => (feeds[up.component] ?? []).filter(({ cell }) => up.cells.has(cell)))
        .sort((a, b) => a.time - b.time);
      const step = new Step(model, component, {
        read: (cell) =>
          before[cell] ?? { kind: "wave", level: 3, regions: [], members: [], keeps: TRACE_HORIZON_TICKS },
        choose: (count) => choose(count, tick),
      });
      const coming = step.run(comings[component.index] ?? [], fed);
      comings[component.index] = ageComing(model, coming);
      feeds[component.index] = step.feed;
      const own = new Set(component.cells);
      for (const [cell, state] of step.touched) if (own.has(cell)) states[cell] = state;
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
      states[cell] = age(state, 1, TRACE_HORIZON_TICKS);
    });
  }
  const changes = [...done.values()].sort((a, b) => a.earliest - b.earliest);
  return { changes, start };
}
