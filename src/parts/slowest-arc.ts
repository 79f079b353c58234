import type { Fs } from "../quantity/index.js";
import { arcsOf } from "./arcs.js";
import { type Delay, isMissing } from "./figures.js";
import type { Part } from "./part.js";

/** The slowest way through a part. */
export interface SlowestArc {
  readonly from: string;
  readonly to: string;
  readonly max: Fs;
}

/**
 * The arc with the largest maximum: propagation, and driving begun, but not driving given up. `undefined` where no arc has
 * figures. `within` restricts it to arcs that it accepts.
 */
export function slowestArc(part: Part, within: (key: string) => boolean = () => true): SlowestArc | undefined {
  let slowest: SlowestArc | undefined;
  for (const [key, { from, to, delay }] of arcDelays(part)) {
    if (within(key) && (slowest === undefined || delay.max > slowest.max)) slowest = { from, to, max: delay.max };
  }
  return slowest;
}

/**
 * The slowest arc of each of two parts among those for which both have figures, pins taken by their places on the package;
 * undefined where there are none.
 */
export function slowestOfBoth(one: Part, other: Part): readonly [SlowestArc, SlowestArc] | undefined {
  const [mine, theirs] = [arcDelays(one), arcDelays(other)];
  const a = slowestArc(one, (key) => theirs.has(key));
  const b = slowestArc(other, (key) => mine.has(key));
  return a && b && [a, b];
}

interface ArcDelay {
  readonly from: string;
  readonly to: string;
  readonly delay: Delay;
}

const perPart = new WeakMap<Part, ReadonlyMap<string, ArcDelay>>();

/** Delays of arcs that have figures, by package pins and input edge; the change is left out, as an inverter swaps it. */
function arcDelays(part: Part): ReadonlyMap<string, ArcDelay> {
  const known = perPart.get(part);
  if (known) return known;
  const places = new Map(part.package.pins.map(({ number, name }) => [name, number]));
  const found = new Map<string, ArcDelay>();
  for (const { from, to, moves } of arcsOf(part.behaviour)) {
    for (const { edge, change } of moves) {
      if (change.endsWith("-to-z")) continue;
      const delay = part.figures.delay(from, edge, to, change);
      if (isMissing(delay)) continue;
      const key = `${places.get(from) ?? from} ${edge} ${places.get(to) ?? to} ${change.startsWith("z") ? "enable" : ""}`;
      const before = found.get(key);
      if (!before || delay.max > before.delay.max) found.set(key, { from, to, delay });
    }
  }
  perPart.set(part, found);
  return found;
}
