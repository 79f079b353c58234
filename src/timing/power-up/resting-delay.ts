import { type Part, arcsOf, isMissing } from "../../parts/index.js";
import { FS_PER_NS } from "../../quantity/index.js";

/** Where no figure is on record the verdict is not covered anyway, and any order of changes will do. */
const STAND_IN = 10 * FS_PER_NS;

const known = new WeakMap<Part, Map<string, number>>();

/**
 * One delay for all arcs to an output, in fs: as near to their mean typical delay as the limits of every one of them allow.
 * What order changes come in where every set-up and hold time is kept does not depend on which delays within the limits are
 * taken.
 */
export function restingDelay(part: Part, pin: string): number {
  const own = known.get(part) ?? new Map<string, number>();
  known.set(part, own);
  const found = own.get(pin) ?? delayWithin(part, pin);
  own.set(pin, found);
  return found;
}

function delayWithin({ behaviour, figures }: Part, pin: string): number {
  const delays = arcsOf(behaviour)
    .filter(({ to }) => to === pin)
    .flatMap(({ from, moves }) => moves.map(({ edge, change }) => figures.delay(from, edge, pin, change)))
    .flatMap((delay) => (isMissing(delay) ? [] : [delay]));
  if (delays.length === 0) return STAND_IN;
  const mean = delays.reduce((sum, { typical }) => sum + typical, 0) / delays.length;
  const least = Math.max(...delays.map(({ min }) => min));
  const most = Math.min(...delays.map(({ max }) => max));
  return Math.round(Math.min(most, Math.max(least, mean)));
}
