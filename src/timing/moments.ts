import type { Moment } from "./moment.js";
import type { TimeLine } from "./time-line.js";

/** A gap between two moments and what sets it. */
export interface Gap {
  readonly fs: number;
  readonly earlier: Moment;
  readonly later: Moment;
}

/** The least time from the last of `earlier` to the first of `later`, over every choice of causes. Undefined when one is empty. */
export function leastGap(time: TimeLine, earlier: readonly Moment[], later: readonly Moment[]): Gap | undefined {
  let worst: Gap | undefined;
  for (const e of earlier) {
    for (const l of later) {
      const fs = time.leastGap(e, l);
      if (!worst || fs < worst.fs) worst = { fs, earlier: e, later: l };
    }
  }
  return worst;
}

/** The most time from the first of `earlier` to the last of `later`. Undefined when one is empty. */
export function mostGap(time: TimeLine, earlier: readonly Moment[], later: readonly Moment[]): Gap | undefined {
  let worst: Gap | undefined;
  for (const e of earlier) {
    for (const l of later) {
      const fs = time.mostGap(e, l);
      if (!worst || fs > worst.fs) worst = { fs, earlier: e, later: l };
    }
  }
  return worst;
}

/** Whether two lists hold equal moments in the same order. */
export function isEqual(one: readonly Moment[], other: readonly Moment[]): boolean {
  return (
    one.length === other.length &&
    one.every(({ path, tick }, index) => path === other[index]?.path && tick === other[index]?.tick)
  );
}

/** Whether two lists hold the same moments, as objects, in the same order. */
export function isSame(one: readonly Moment[], other: readonly Moment[]): boolean {
  return one.length === other.length && one.every((moment, index) => moment === other[index]);
}
