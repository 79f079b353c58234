import type { Change } from "../parts/index.js";
import { EITHER, type LevelSet } from "./level-set.js";
import { isOf } from "./members.js";
import type { ChipModel, PinModel } from "./model.js";
import type { ChipState, Region } from "./state.js";
import type { Step } from "./step.js";

/** An input change that is open at a pin. */
export interface Open {
  readonly pin: PinModel;
  readonly region: Region;
}

/** What an open change brings to a slot. */
interface Move {
  readonly open: number;
  readonly to: LevelSet;
}
const NO_MOVES: readonly Move[] = [];

/** Which of the open changes have come, one bit each; a memory has more than 32, so no shifts. */
export type Over = number;

/**
 * What one section's signals may be at one moment: the level of each slot before any open change, and what every open
 * change brings, storage included. Pins that are only captured are left out: what happens at them matters at the capture.
 */
export class ChipView {
  readonly opens: readonly Open[];
  readonly #base: LevelSet[];
  readonly #moves: (readonly Move[] | undefined)[] = [];
  readonly #moved: number[][] = [];
  readonly #changes: (readonly Change[] | undefined)[] = [];

  /** A region in `ended` counts as closed already. */
  constructor(step: Step, chip: ChipModel, state: ChipState, ended?: Region) {
    const opens: Open[] = [];
    this.opens = opens;
    this.#base = chip.fixed.slice();
    for (const pin of chip.pins) {
      if (!pin.acts) continue;
      const present = step.glance(pin.net.wave);
      let { base } = present;
      for (const region of present.regions) {
        if (region.closed || region === ended) base = region.to;
        else if (region.opened) this.#move(pin.slot, opens.push({ pin, region }) - 1, region.to);
      }
      this.#base[pin.slot] = base;
    }
    for (const bit of chip.storage) this.#base[bit.slot] = state.stored[bit.bit] ?? EITHER;
    for (const change of state.changes) {
      const slot = chip.storage[change.bit]?.slot;
      const open = opens.findIndex((one) => isOf(change, one));
      if (slot !== undefined && open >= 0) this.#move(slot, open, change.to);
    }
  }

  #move(slot: number, open: number, to: LevelSet): void {
    this.#moves[slot] = [...(this.#moves[slot] ?? []), { open, to }];
    (this.#moved[open] ??= []).push(slot);
  }

  /** All open changes have come. */
  get all(): Over {
    return 2 ** this.opens.length - 1;
  }

  indexOf({ pin, region }: Open): number {
    return this.opens.findIndex((open) => open.pin === pin && open.region === region);
  }

  /** The level of a slot when some of the open changes have come, and of some (`vague`) it is not known. */
  level(slot: number, over: Over, vague: Over = 0): LevelSet {
    let level = this.#base[slot] ?? EITHER;
    for (const move of this.#moves[slot] ?? NO_MOVES) {
      if (hasCome(vague, move.open)) level |= this.opens[move.open]?.region.clean === false ? EITHER : move.to;
      else if (hasCome(over, move.open)) level = move.to;
    }
    return level;
  }

  /** The slots that an open change moves: its own pin and the storage that goes with it. */
  moved(open: number): readonly number[] {
    return this.#moved[open] ?? [];
  }

  /** The level of a slot with every open change taken as either come or not. */
  present(slot: number): LevelSet {
    let level = this.#base[slot] ?? EITHER;
    for (const move of this.#moves[slot] ?? NO_MOVES) {
      level |= move.to;
      if (this.opens[move.open]?.region.clean === false) level |= EITHER;
    }
    return level;
  }

  /** What an open change can do to the outputs of one kind; found once. */
  changes(open: number, kind: number, find: () => readonly Change[]): readonly Change[] {
    const key = kind * this.opens.length + open;
    return (this.#changes[key] ??= find());
  }

  /**
   * Every combination of the open changes that move any of these slots, the one numbered `except` left out (not come). Those
   * that may hold several edges, and those beyond what can be tried, are `vague`: they may have come or not at any moment.
   */
  choices(slots: ReadonlySet<number>, except: number): { readonly overs: readonly Over[]; readonly vague: Over } {
    const bits: Over[] = [];
    let vague = 0;
    this.opens.forEach(({ region }, open) => {
      if (open === except || !this.#moved[open]?.some((slot) => slots.has(slot))) return;
      if (region.clean && bits.length < MOST_AT_ONCE) bits.push(2 ** open);
      else vague += 2 ** open;
    });
    const overs = Array.from({ length: 1 << bits.length }, (_, choice) => {
      let over = 0;
      for (let i = 0; i < bits.length; i++) if ((choice >> i) & 1) over += bits[i] ?? 0;
      return over;
    });
    return { overs, vague };
  }
}

/** Whether an open change is one of those that have come. */
export function hasCome(over: Over, open: number): boolean {
  return Math.floor(over / 2 ** open) % 2 === 1;
}

/** With more changes at once than this, the rest is taken as come or not come at any moment. */
export const MOST_AT_ONCE = 6;
