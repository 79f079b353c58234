/** How often something happens, by its place. */
export type Pace = ReadonlyMap<string, number>;

/** Leads differ, so that not all is checked just as often. */
const LEAST_ACTIVITY = 0.7;

/** Whether something that was clocked or written is not any more. */
export function isSilent(before: Pace, after: Pace): boolean {
  return [...before].some(([net, pace]) => pace > 0 && after.get(net) === 0);
}

/**
 * Whether all that happened before happens still: a board that stands still violates no rule either. Where a picture says
 * which pace is right, as often, and most of it no more often; what stood still may come alive.
 */
export function isAtPace(before: Pace, after: Pace, mayChangePace: boolean): boolean {
  const ratios = [...before].map(([place, rate]) => (after.get(place) ?? 0) / rate).sort((a, b) => a - b);
  const [least = 1, middle = 1] = [ratios[0], ratios[ratios.length >> 1]];
  return mayChangePace ? least > 0 : least >= LEAST_ACTIVITY && middle <= 1 / LEAST_ACTIVITY;
}

/** The chip of a place, `memory write tAW U29 A0`. */
export function chipIn(place: string): string {
  return place.split(" ").at(-2) ?? "";
}
