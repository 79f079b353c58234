import type { ExternalInput } from "../circuit/index.js";
import { bitKey, carriesData } from "./control.js";
import { EITHER, HIGH, LOW, type LevelSet, UNDRIVEN } from "./level-set.js";
import type { CellId, ChipModel, Model, StorageModel } from "./model.js";
import { capturesKeptBy, keepsOf } from "./look-back.js";
import { comesAtAnyTime, followedGaps } from "./outside-edges.js";
import { resolve } from "./shared-net.js";
import type { CellState, OutsideState, Wave } from "./state.js";
import type { Moment } from "./moment.js";

/** Rounds of settling before a loop without storage is left as unknown. */
const MOST_ROUNDS = 1000;

/**
 * A state to start from: storage that runs by itself at 0, the rest unknown, reset released, every net settled. The proof
 * holds for the cycle that this state runs into.
 */
export function startState(model: Model): CellState[] {
  const { dependents, control } = model;
  const cells: CellState[] = model.cells.map((cell): CellState => {
    if (cell.kind === "chip") {
      return {
        kind: "chip",
        stored: cell.chip.storage.map(() => LOW),
        changes: [],
        captures: [],
        decisions: [],
        keeps: capturesKeptBy(model, cell.chip),
      };
    }
    const wave: Wave = { kind: "wave", level: EITHER, regions: [], members: [], keeps: keepsOf(model, cell) };
    if (cell.kind !== "outside") return wave;
    const { timing } = cell.input;
    if (timing.kind === "power-up only") wave.level = timing.active === "low" ? HIGH : LOW;
    if (timing.kind === "any time") {
      wave.level = HIGH;
      return {
        kind: "outside",
        wave,
        ...longQuiet(model, cell.input, timing),
        step: Math.max(1, model.outsideStepTicks),
        phase: 0,
      };
    }
    if (timing.kind === "steady around") {
      wave.regions.push({
        born: -1,
        order: 0,
        from: EITHER,
        to: EITHER,
        clean: false,
        opened: true,
        closed: false,
        settled: false,
        drove: false,
        early: [firstChange(model, cell.input)],
        late: [],
        steps: [],
      });
    }
    return wave;
  });
  const level = (cell: CellId): LevelSet => {
    const state = cells[cell];
    return state?.kind === "wave" ? state.level : state?.kind === "outside" ? state.wave.level : EITHER;
  };
  const setsOf = (chip: ChipModel) => {
    const state = cells[chip.cell];
    return (slot: number): LevelSet => {
      const fixed = chip.fixed[slot];
      if (fixed) return fixed;
      const pin = chip.pins.find((p) => p.slot === slot);
      if (pin) return level(pin.net.wave);
      const bit = chip.storage.find((s) => s.slot === slot);
      return (state?.kind === "chip" && bit && state.stored[bit.bit]) || EITHER;
    };
  };
  for (const chip of model.chips) {
    const state = cells[chip.cell];
    if (state?.kind !== "chip") continue;
    for (const bit of chip.storage) {
      const key = bitKey(chip, bit.slot);
      if (dependents.bits.has(key) && !control.bits.has(key)) state.stored[bit.bit] = EITHER;
    }
  }
  for (let round = 0, changed = true; changed && round < MOST_ROUNDS; round++) {
    changed = false;
    const set = (cell: CellId, to: LevelSet) => {
      const state = cells[cell];
      if (state?.kind !== "wave" || state.level === to) return;
      state.level = to;
      changed = true;
    };
    for (const chip of model.chips) {
      const sets = setsOf(chip);
      const state = cells[chip.cell];
      for (const bit of chip.storage) {
        if (state?.kind !== "chip") continue;
        const settled = settledBit(chip, bit, state.stored[bit.bit] ?? EITHER, sets);
        if (settled === state.stored[bit.bit]) continue;
        state.stored[bit.bit] = settled;
        changed = true;
      }
      for (const output of chip.outputs) {
        if (output.cell === model.oscillator.cell) {
          set(output.cell, LOW);
          continue;
        }
        const enable = output.enable ? output.enable.possible(sets) : HIGH;
        const value =
          carriesData(model, output.net) || output.value === "memory" ? EITHER : output.value.possible(sets);
        set(output.cell, enable === LOW ? UNDRIVEN : enable === HIGH ? value : value | UNDRIVEN);
      }
    }
    for (const net of model.nets) {
      if (net.drivers.length > 1) set(net.wave, resolve(net.drivers.map(({ cell }) => level(cell))));
    }
  }
  return cells;
}

/** When a signal that is steady around an edge begins to change: as if that edge had come at the start. */
function firstChange(model: Model, { net, timing }: ExternalInput): Moment {
  const { time, delays, nets } = model;
  if (timing.kind !== "steady around" || comesAtAnyTime(model, timing.net)) return { path: time.root(0), tick: -1 };
  const own = nets[net]?.net.name ?? "";
  return {
    path: time.extend(time.root(0), delays.outside(`${own} at first`, own, timing.after, timing.after)),
    tick: 0,
  };
}

/** A signal that has been quiet for as long as it matters, by its least times. */
function longQuiet(
  model: Model,
  input: ExternalInput,
  timing: Extract<ExternalInput["timing"], { kind: "any time" }>,
): Pick<OutsideState, "rose" | "fell" | "riseMatters" | "fallMatters"> {
  const ticks = (time: number) => Math.ceil(time / model.time.period.min) + model.outsideStepTicks + 2;
  const { low, cycle } = followedGaps(model, timing);
  const isOneEdge = model.outside.some((outside) => outside.input === input && outside.edges.length < 2);
  const [riseMatters, fallMatters] = [ticks(cycle), ticks(isOneEdge ? cycle : low)];
  return { rose: -riseMatters, fell: -fallMatters, riseMatters, fallMatters };
}

/** What a bit holds once overrides and an open latch have acted, as far as they may. */
function settledBit(chip: ChipModel, bit: StorageModel, stored: LevelSet, sets: (slot: number) => LevelSet): LevelSet {
  let forced: LevelSet = 0;
  const gate = chip.gates[bit.gate];
  const open = bit.kind === "latch" && gate ? [{ when: gate.logic, value: bit.next }] : [];
  for (const { when, value } of [...bit.overrides, ...open]) {
    const active = when.possible(sets);
    if (active & HIGH) forced |= value.possible(sets);
    if (active === HIGH) return forced;
  }
  return forced | stored;
}
