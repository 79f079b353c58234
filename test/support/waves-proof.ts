import type { Circuit } from "../../src/circuit/circuit.js";
import type { Check } from "../../src/timing/check.js";
import type { LevelSet } from "../../src/timing/level-set.js";
import { type CellId, type Model, buildModel } from "../../src/timing/model.js";
import { LONGEST_LOOK_BACK_TICKS } from "../../src/timing/look-back.js";
import { ageComing, bookOf } from "../../src/timing/prove-step.js";
import { Readers } from "../../src/timing/reactions.js";
import { startState } from "../../src/timing/start.js";
import { type CellState, type Coming, type Region, age } from "../../src/timing/state.js";
import { type StepScope, Step } from "../../src/timing/step.js";
import { CellTables } from "../../src/timing/step-cells.js";
import type { Moment } from "../../src/timing/moment.js";
import { WaveChanges } from "../../src/timing/wave-changes.js";
import { noWork } from "../../src/timing/work.js";

/** One change of a net as the proof sees it; the ticks of its moments are counted from the first tick. */
export interface ProvedRegion {
  readonly from: LevelSet;
  readonly to: LevelSet;
  readonly clean: boolean;
  readonly early: readonly Moment[];
  readonly late: readonly Moment[];
  /** Whether it was over when the proof stopped. */
  readonly closed: boolean;
}

export interface ProvedWave {
  /** Before the first region. */
  readonly level: LevelSet;
  /** In the order in which the signal makes them. */
  readonly regions: readonly ProvedRegion[];
}

export interface TimedCheck {
  readonly tick: number;
  readonly check: Check;
}

export interface Proof {
  readonly model: Model;
  /** By net, in the circuit's order; undefined where nothing drives. */
  readonly waves: readonly (ProvedWave | undefined)[];
  readonly checks: readonly TimedCheck[];
}

/**
 * Proves the first ticks of a circuit from power-up, plainly: all sections at once, tick by tick, nothing looked up. Where
 * the circuit may go on in several ways, `choose` says which; the first one when absent.
 */
export function provePlainly(circuit: Circuit, ticks: number, choose: (count: number) => number = () => 0): Proof {
  const model = buildModel(circuit);
  const everything: StepScope = { oscillates: true, outside: model.outside, has: () => true, owns: () => true };
  let states: readonly CellState[] = startState(model);
  const firstStates = states;
  let coming: Coming[] = [];
  const regions = new Map<CellId, { readonly born: number; readonly order: number; readonly region: ProvedRegion }[]>();
  const note = (cell: CellId, region: Region, tick: number, closed: boolean) => {
    const absolute = (moments: readonly Moment[]) => moments.map(({ path, tick: at }) => ({ path, tick: at + tick }));
    const { from, to, clean } = region;
    const made = { from, to, clean, early: absolute(region.early), late: absolute(region.late), closed };
    const list = regions.get(cell) ?? [];
    list.push({ born: region.born + tick, order: region.order, region: made });
    regions.set(cell, list);
  };
  const checks: TimedCheck[] = [];
  for (let tick = 0; tick < ticks; tick++) {
    const book = bookOf(model, LONGEST_LOOK_BACK_TICKS);
    const step = new Step(model, everything, {
      book,
      memory: {
        readers: new Readers(model, everything),
        changes: new WaveChanges(book, model.cellCount),
        tables: new CellTables(model.cellCount),
        work: noWork(),
      },
      read: (cell) => book.id(stateOf(states, cell)),
      choose,
    });
    const left = step.run(coming, []);
    for (const { what, cell, region } of step.feed) if (what === "close") note(cell, region, tick, true);
    for (const check of step.checks) checks.push({ tick, check });
    const written = new Map(step.written([...states.keys()]));
    states = states.map((state, cell) => {
      const id = written.get(cell);
      return age(id === undefined ? state : book.state(id), 1, LONGEST_LOOK_BACK_TICKS);
    });
    coming = ageComing(model, left);
  }
  states.forEach((state, cell) => {
    for (const region of waveOf(state)?.regions ?? []) if (!region.closed) note(cell, region, ticks, false);
  });
  return {
    model,
    checks,
    waves: model.nets.map(({ wave: cell }) => {
      const first = waveOf(firstStates[cell]);
      if (!first) return undefined;
      const list = (regions.get(cell) ?? []).sort((a, b) => a.born - b.born || a.order - b.order);
      return { level: first.level, regions: list.map(({ region }) => region) };
    }),
  };
}

function stateOf(states: readonly CellState[], cell: CellId): CellState {
  const state = states[cell];
  if (!state) throw new RangeError(`no cell ${cell}`);
  return state;
}

function waveOf(state: CellState | undefined) {
  return state?.kind === "wave" ? state : state?.kind === "outside" ? state.wave : undefined;
}
