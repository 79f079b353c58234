import type { Oscillation } from "../../parts/index.js";
import type { TimedVerdict } from "./outcome.js";

/** Femtoseconds of a second. */
const FS = 1e15;

/**
 * The frequency in hertz up to which a verdict's two chains hold, where it was proved at `hertz`. Its margin is linear in the
 * period: so many periods lie between the edges at which the chains start, and everything else is delay. Infinite where no
 * shorter period brings it down, as where its delays alone are margin enough.
 */
export function reachOfClock(verdict: TimedVerdict, hertz: number, oscillation: Oscillation): number {
  const slope = slopeOfClock(verdict, hertz, oscillation);
  const shortest = FS / hertz - verdict.margin / slope;
  return slope <= 0 || shortest <= 0 ? Infinity : FS / shortest;
}

/** The margin that a verdict's chains leave at another frequency than that at which it was proved, in femtoseconds. */
export function marginAtClock(verdict: TimedVerdict, hertz: number, other: number, oscillation: Oscillation): number {
  return verdict.margin + slopeOfClock(verdict, hertz, oscillation) * (FS / other - FS / hertz);
}

/** How much of a longer nominal period is margin; 0 where the period decides nothing, less where a longer one takes from it. */
function slopeOfClock(
  { chains: { between, gap } }: TimedVerdict,
  hertz: number,
  { period, duty }: Oscillation,
): number {
  const { earlier, later } = between;
  // How long a net goes undriven only gets shorter with the period.
  if (gap === "most" || earlier.outside !== undefined || later.outside !== undefined) return 0;
  const sign = earlier.edge === later.edge ? 0 : later.edge === "fall" ? 1 : -1;
  const share = sign === 0 || between.high === undefined ? 0 : sign * duty[between.high];
  const periods = later.ticks - earlier.ticks + share;
  // The can's tolerance scales with the period.
  return (periods * period[between.period ?? "min"]) / (FS / hertz);
}

/** The greatest delay of a wire, in femtoseconds, up to which a verdict's two chains hold, proved with `now`. */
export function reachOfWires(verdict: TimedVerdict, now: number): number {
  const wires = wiresOf(verdict);
  return wires === 0 ? Infinity : now + verdict.margin / wires;
}

/** The margin that a verdict's chains leave with another greatest delay of a wire, proved with `now`; in femtoseconds. */
export function marginAtWires(verdict: TimedVerdict, now: number, other: number): number {
  return verdict.margin - wiresOf(verdict) * (other - now);
}

/** Wires that a verdict counts with at their greatest delay. */
export function wiresOf({ chains: { earlier, later } }: TimedVerdict): number {
  return [...earlier, ...later].filter(({ kind, used, cancelled }) => kind === "wire" && used === "max" && !cancelled)
    .length;
}
