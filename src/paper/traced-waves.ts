import { EITHER, type LevelSet } from "../timing/level-set.js";
import type { CellId, ChipModel, Model, NetModel, OutputModel } from "../timing/model.js";
import type { Trace } from "../timing/trace.js";

/** A change of a net with its bounds, in fs from the trace's begin. */
export interface WaveChange {
  readonly from: LevelSet;
  readonly to: LevelSet;
  readonly isClean: boolean;
  readonly earliest: number;
  readonly latest: number;
  /** The earliest time before what it shares with the clock was taken off. */
  readonly tracedEarliest: number;
}

export interface TracedWave {
  readonly start: LevelSet;
  /** By their earliest times. */
  readonly changes: readonly WaveChange[];
}

/**
 * The waves of a trace as a data sheet draws them: what the dot clock launches is timed from the middle of that clock's
 * edge, so that the spread of the clock itself, which all of it shares, does not open gaps that cannot be there.
 */
export class TracedWaves {
  readonly #model: Model;
  readonly #trace: Trace;
  readonly #clock: NetModel | undefined;
  readonly #byCell = new Map<CellId, TracedWave>();
  /** Half the spread of the clock's edges, in fs. */
  readonly #halfSpread: number;

  constructor(model: Model, trace: Trace, clock?: NetModel) {
    this.#model = model;
    this.#trace = trace;
    this.#clock = clock;
    const edges = clock ? trace.changes.filter(({ cell }) => cell === clock.wave) : [];
    const spread = edges.length > 0 ? Math.min(...edges.map(({ earliest, latest }) => latest - earliest)) : 0;
    this.#halfSpread = Math.max(0, Math.floor(spread / 2));
  }

  /** The time left out of every edge of the clock and of what it launches, in fs. */
  get sharedSpread(): number {
    return 2 * this.#halfSpread;
  }

  ofNet(net: NetModel): TracedWave {
    return this.of(net.wave);
  }

  of(cell: CellId): TracedWave {
    const known = this.#byCell.get(cell);
    if (known) return known;
    const isClocked = this.#halfSpread > 0 && this.#isLaunchedByClock(cell);
    const changes = this.#trace.changes
      .filter((change) => change.cell === cell)
      .map(({ from, to, clean, earliest, latest }): WaveChange => {
        const by = isClocked && latest - earliest >= 2 * this.#halfSpread ? this.#halfSpread : 0;
        return { from, to, isClean: clean, earliest: earliest + by, latest: latest - by, tracedEarliest: earliest };
      });
    const wave = { start: this.#trace.start[cell] ?? EITHER, changes };
    this.#byCell.set(cell, wave);
    return wave;
  }

  #isLaunchedByClock(cell: CellId): boolean {
    const what = this.#model.cells[cell];
    if (what?.kind === "driver") return what.output.net === this.#clock || this.#driverIsClocked(what, new Set());
    return what?.kind === "shared net" && this.#netIsClocked(what.net, new Set());
  }

  /** Whether every way back from a net to what launches its edges meets the clock. */
  #netIsClocked(net: NetModel, seen: Set<NetModel>): boolean {
    if (net === this.#clock || seen.has(net)) return true;
    seen.add(net);
    const { input } = net.net;
    if (input) return input.timing.kind === "power-up only";
    return net.drivers.every((driver) => this.#driverIsClocked(driver, seen));
  }

  #driverIsClocked({ chip, output }: { chip: ChipModel; output: OutputModel }, seen: Set<NetModel>): boolean {
    if (output.cell === this.#model.oscillator.cell) return false;
    return [...output.slots].every((slot) => {
      const bit = chip.storage.find((storage) => storage.slot === slot);
      return bit
        ? [...bit.controlSlots].every((control) => this.#pinIsClocked(chip, control, seen))
        : this.#pinIsClocked(chip, slot, seen);
    });
  }

  #pinIsClocked(chip: ChipModel, slot: number, seen: Set<NetModel>): boolean {
    const pin = chip.pins.find((candidate) => candidate.slot === slot);
    return pin === undefined || this.#netIsClocked(pin.net, seen);
  }
}

/** The level after every change that is over by `time`. */
export function levelAt({ start, changes }: TracedWave, time: number): LevelSet {
  return changes.filter(({ latest }) => latest <= time).at(-1)?.to ?? start;
}
