import { type Counts, bitsToCount, totalOf } from "../design.js";
import type { Table } from "./minimise.js";

/**
 * A binary counter that goes through the parts of a line or frame: from 0 on, and at `jump` to `loaded`, from where it runs
 * over to 0 again. `jump` is the whole where it only ever counts from 0. Where the jump lies is free; it decides how much has to
 * be decoded.
 */
export interface Counting {
  readonly counts: Counts;
  readonly total: number;
  readonly bits: number;
  readonly jump: number;
  readonly loaded: number;
}

/** Counters with the jump at the end of each part. The first counts from 0 alone. */
export function countings(counts: Counts): readonly Counting[] {
  const total = totalOf(counts);
  const bits = bitsToCount(total);
  const { active, frontPorch, sync } = counts;
  const jumps = [total, active + frontPorch, active + frontPorch + sync, active];
  return [...new Set(jumps)].map((jump) => countingFrom(counts, bits, jump));
}

/** The counter whose jump is where sync begins. */
export function countingFromSync(counts: Counts): Counting {
  return countingFrom(counts, bitsToCount(totalOf(counts)), counts.active + counts.frontPorch);
}

function countingFrom(counts: Counts, bits: number, jump: number): Counting {
  const total = totalOf(counts);
  return { counts, total, bits, jump, loaded: jump === total ? 0 : 2 ** bits - (total - jump) };
}

/** What the counter shows so long after the first of the active part. */
export function shownAt({ jump, loaded, total }: Counting, time: number): number {
  const t = ((time % total) + total) % total;
  return t < jump ? t : loaded + t - jump;
}

/** The times at which something is so, as a table over what the counter shows; what it never shows does not matter. */
export function tableOf(counting: Counting, holds: (time: number) => boolean): Table {
  const levels = new Map<number, boolean>();
  for (let time = 0; time < counting.total; time++) levels.set(shownAt(counting, time), holds(time));
  return { variables: counting.bits, at: (shown) => levels.get(shown) };
}

export function isActive({ counts }: Counting): (time: number) => boolean {
  return (time) => time < counts.active;
}

export function isSync({ counts: { active, frontPorch, sync } }: Counting): (time: number) => boolean {
  return (time) => time >= active + frontPorch && time < active + frontPorch + sync;
}

/** As many cells as sync has, just before sync: where a broad pulse lets go, so that the next line can begin. */
export function isSerration({ counts: { active, frontPorch, sync } }: Counting): (time: number) => boolean {
  return (time) => time >= active + frontPorch - sync && time < active + frontPorch;
}

/** The last before the jump. */
export function isLast({ jump }: Counting): (time: number) => boolean {
  return (time) => time === jump - 1;
}

/** `0 to 39 are visible, 40 front porch, 41 to 46 sync, 47 to 49 back porch.` as the counter shows them. */
export function describeCounting(counting: Counting): string {
  const { active, frontPorch, sync, backPorch } = counting.counts;
  const parts = [
    { name: "visible", from: 0, length: active },
    { name: "front porch", from: active, length: frontPorch },
    { name: "sync", from: active + frontPorch, length: sync },
    { name: "back porch", from: active + frontPorch + sync, length: backPorch },
  ];
  const text = parts
    .filter(({ length }) => length > 0)
    .map(({ name, from, length }, index) => {
      const verb = index === 0 ? (length > 1 ? "are " : "is ") : "";
      const [first, last] = [shownAt(counting, from), shownAt(counting, from + length - 1)];
      return `${first === last ? first : `${first} to ${last}`} ${verb}${name}`;
    })
    .join(", ");
  const jump = counting.jump === counting.total ? "" : ` After ${counting.jump - 1} comes ${counting.loaded}.`;
  return `${text}.${jump}`;
}
