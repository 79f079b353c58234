import type { Check } from "./check.js";
import type { Found } from "./refine.js";
import { FIRST_OUTSIDE_ROOT } from "./roots.js";

/**
 * Several bits that change with one signal from outside must not cross one by one, each through a synchroniser of its own:
 * one may arrive a clock before the other, and what they say together was never sent. Turns such places into failures.
 */
export function withCrossings(found: readonly Found[]): readonly Found[] {
  const bySignal = new Map<number, Set<string>>();
  for (const one of found) {
    const signal = signalOf(one);
    if (signal === undefined) continue;
    bySignal.set(signal, (bySignal.get(signal) ?? new Set()).add(pinOf(one.place.worst)));
  }
  return found.map((one) => {
    const signal = signalOf(one);
    const pins = signal === undefined ? undefined : bySignal.get(signal);
    if (!pins || pins.size < 2) return one;
    const { worst } = one.place;
    const others = [...pins].filter((pin) => pin !== pinOf(worst)).join(", ");
    const note = `bits that change together cross here and at ${others}, each through a synchroniser of its own: one may arrive a clock before the other`;
    const available = -one.model.time.period.max;
    return { ...one, place: { ...one.place, worst: { ...worst, available, note } } };
  });
}

function pinOf({ chip, pin }: Check): string {
  return `${chip} ${pin}`;
}

/**
 * The signal from outside that a first stage of a synchroniser samples, by its place in `Model.outside`; undefined for any
 * other place.
 */
export function signalOf({ model, place: { worst } }: Found): number | undefined {
  if (worst.rule !== "asynchronous signal" || worst.available < 0) return undefined;
  const roots = [worst.earlier, worst.later].flatMap((moment) => (moment ? [model.time.rootOf(moment.path)] : []));
  const outside = roots.find((root) => root >= FIRST_OUTSIDE_ROOT);
  return outside === undefined ? undefined : (outside - FIRST_OUTSIDE_ROOT) >> 1;
}
