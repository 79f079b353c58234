import type { Circuit, NetId } from "../../circuit/index.js";
import { PinClock } from "./pin-clock.js";
import type { Level } from "./pins.js";
import { strobesOf } from "./sender.js";
import { type WritePath, levelsFor } from "./write-path.js";

/** Least waits, in nanoseconds: before the strobe goes, before it comes back, and before anything else. */
export interface Waits {
  readonly before: number;
  readonly width: number;
  readonly lines: number;
}

/**
 * The waits of a stage: the most that they come to after any stage that may come before it, by the promises of the inputs, with
 * all lines changing at every pulse.
 */
export function waitsOf(circuit: Circuit, paths: readonly WritePath[], path: WritePath, index: number): Waits {
  const most = { before: 0, width: 0, lines: 0 };
  const own = { path, index };
  // A stage may come after any other, itself too, since latches are left out; and it goes on pulse after pulse.
  for (const previous of paths.flatMap((one) => one.stages.map((_, at) => ({ path: one, index: at })))) {
    const clock = new PinClock(circuit, path.rest, strobesOf(...paths));
    // What was before is long over, so that only promises against what comes now count.
    clock.wait(1e15);
    let turn: Level = 0;
    for (const at of [previous, own, own, previous, own]) {
      const one = at.path.stages[at.index];
      if (!one) continue;
      turn = turn === 1 ? 0 : 1;
      const begin = clock.now;
      const all = levelsFor(at.path, turn === 1 ? 2 ** 32 - 1 : 0, turn * 255);
      const levels = all[at.index]?.[0] ?? new Map<NetId, Level>();
      for (const [net, level] of [...one.held, ...levels]) clock.set(net, level);
      const set = clock.now;
      clock.set(one.strobe.net, one.strobe.rest === 1 ? 0 : 1);
      const gone = clock.now;
      clock.set(one.strobe.net, one.strobe.rest);
      const back = clock.now;
      if (at !== own) continue;
      most.lines = Math.max(most.lines, whole(set - begin));
      most.before = Math.max(most.before, whole(gone - set));
      most.width = Math.max(most.width, whole(back - gone));
    }
  }
  return most;
}

/** Whole nanoseconds, at least so many femtoseconds, but for the picoseconds by which the order of two changes is told. */
function whole(timeFs: number): number {
  return Math.max(0, Math.ceil((timeFs - 2000) / 1e6));
}
