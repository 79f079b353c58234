import { countChips } from "./chip-count.js";
import type { LogicProfile } from "./logic-profile.js";
import { logicPaths, memoryPaths, tightestPath } from "./margin.js";
import type { MemoryChoice } from "./memory-choice.js";
import type { Clocking, Fall, Place } from "./place.js";
import { type AccessRate, type SharingKind, accessRate } from "./sharing-costs.js";
import type { Space } from "./space.js";
import { stepDown, stepUp } from "./figures.js";
import { outputOf } from "./video-output.js";
import type { Wishes } from "./wishes.js";

/** A memory, a way of sharing it and a choice of logic, with what follows from them and the clocking. */
export interface Triple {
  readonly memory: MemoryChoice;
  readonly sharing: SharingKind;
  readonly logic: LogicProfile;
  /** Rounded down. */
  readonly marginNs: number;
  /** Absent where it hangs on the place: in blanking only. */
  readonly rate?: AccessRate;
  /** Margin, bytes a second and longest wait as plans are compared by them, less being better; the last two as above. */
  readonly steps: readonly [margin: number, rate: number, wait: number];
}

/** Told of a triple at a place. */
export type TellOption = (triple: Triple, chips: number, rate: AccessRate) => void;

/** All memories of one size with a clocking. */
interface SizeClass {
  readonly bytes: number;
  /** Combinations with sharing and logic, and those of them that the margin rules out. */
  readonly count: number;
  readonly tooSlow: number;
  readonly serving: readonly Triple[];
  /** Those of `serving` that no other of any size is as good as. */
  readonly best: ReadonlySet<Triple>;
}

/** Tries every memory, sharing and logic at a place. */
export class OptionFinder {
  readonly #space: Space;
  readonly #wishes: Wishes;
  readonly #classes = new Map<Clocking, readonly SizeClass[]>();

  constructor(space: Space, wishes: Wishes) {
    this.#space = space;
    this.#wishes = wishes;
  }

  /**
   * Tells of the options that meet the wishes and that no other of the same place beats. Returns how many meet them in all,
   * and tells how many do not.
   */
  at(place: Place, fall: Fall, tell: TellOption): number {
    const wishes = this.#wishes;
    const { sameRasters, memoryUsed } = place;
    const needed = 2 ** place.addressBits;
    const isDecidedHere = hasLateWishes(wishes);
    let chipsOf: ReturnType<typeof countChips> | undefined;
    let meeting = 0;
    for (const { bytes, count, tooSlow, serving, best } of this.#classesAt(place.clocking)) {
      if (bytes < needed) fall("memory size", count * sameRasters);
      else if (bytes - memoryUsed < (wishes.memoryLeft ?? 0)) fall("memory left", count * sameRasters);
      else {
        if (tooSlow > 0) fall("margin", tooSlow * sameRasters);
        if (serving.length === 0) continue;
        chipsOf ??= countChips(place.clocking, place.line, place.frame, outputOf(place.raster, wishes.composite).kind);
        for (const triple of isDecidedHere ? serving : best) {
          const { memory, sharing, logic } = triple;
          const chips = chipsOf(memory.bytes, logic.family, sharing);
          const rate = triple.rate ?? accessRate(sharing, place.clocking.times, logic, place);
          if (chips > (wishes.chips ?? Infinity)) fall("chips", sameRasters);
          else if (rate.bytesPerSecond < (wishes.bytesPerSecond ?? 0)) fall("writes", sameRasters);
          else if (rate.longestWait > (wishes.longestWaitNs ?? Infinity)) fall("wait", sameRasters);
          else {
            if (isDecidedHere) meeting += sameRasters;
            if (!isDecidedHere || best.has(triple)) tell(triple, chips, rate);
          }
        }
        if (!isDecidedHere) meeting += serving.length * sameRasters;
      }
    }
    return meeting;
  }

  #classesAt(clocking: Clocking): readonly SizeClass[] {
    const known = this.#classes.get(clocking);
    if (known) return known;
    const { memories, sharing: ways, logic: logics, characterRom } = this.#space;
    const { times, isText } = clocking;
    const least = Math.max(0, this.#wishes.marginNs ?? 0);
    const rom = isText ? characterRom : undefined;
    const serving = logics.flatMap((logic) => {
      const byLogic = tightestPath(logicPaths(times, logic, rom)).margin;
      if (byLogic < least) return [];
      return memories.flatMap((memory) =>
        ways.flatMap((sharing): readonly Triple[] => {
          const marginNs = Math.floor(
            Math.min(byLogic, tightestPath(memoryPaths(times, logic, memory, sharing)).margin),
          );
          if (marginNs < least) return [];
          const margin = -stepDown(marginNs);
          if (sharing === "blanking only") return [{ memory, sharing, logic, marginNs, steps: [margin, 0, 0] }];
          const rate = accessRate(sharing, times, logic);
          return [{ memory, sharing, logic, marginNs, rate, steps: [margin, ...rateSteps(rate)] }];
        }),
      );
    });
    const best: Triple[] = [];
    for (const triple of serving) {
      if (!best.some((other) => isAsGood(other, triple))) best.push(triple);
    }
    const sizes = [...new Set(memories.map(({ bytes }) => bytes))];
    const classes = sizes.map((bytes): SizeClass => {
      const count = memories.filter((memory) => memory.bytes === bytes).length * logics.length * ways.length;
      const ofSize = serving.filter(({ memory }) => memory.bytes === bytes);
      return {
        bytes,
        count,
        tooSlow: count - ofSize.length,
        serving: ofSize,
        best: new Set(ofSize.filter((triple) => best.includes(triple))),
      };
    });
    this.#classes.set(clocking, classes);
    return classes;
  }
}

/** Whether chips, rate or wait are wished for, which hang on the place. */
function hasLateWishes({ chips, bytesPerSecond, longestWaitNs }: Wishes): boolean {
  return chips !== undefined || bytesPerSecond !== undefined || longestWaitNs !== undefined;
}

/** As plans are compared by them, less being better. */
export function rateSteps({ bytesPerSecond, longestWait }: AccessRate): readonly [rate: number, wait: number] {
  return [-stepDown(bytesPerSecond), stepUp(longestWait)];
}

/** Whether a triple is at least as good as another wherever the other serves, in all that plans are compared by. */
function isAsGood(one: Triple, other: Triple): boolean {
  return (
    one.sharing === other.sharing &&
    one.logic === other.logic &&
    one.memory.bytes >= other.memory.bytes &&
    addressChips(one) <= addressChips(other) &&
    one.steps.every((step, index) => step <= (other.steps[index] ?? 0))
  );
}

function addressChips({ memory }: Triple): number {
  return Math.ceil(Math.log2(memory.bytes) / 8);
}
