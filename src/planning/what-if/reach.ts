import type { Oscillation } from "../../parts/index.js";
import type { TimedVerdict } from "./outcome.js";

/** Femtoseconds of a second. */
const FS = 1e15;

/**
 * The frequency in hertz up to which a verdict's two chains hold, where it was proved at `hertz`. Its margin is linear in the
 * period: so many periods lie between the edges at which the chains start, and everything else is delay. Infinite where no
 * shorter period brings it down.
 */
export function reachOfClock(
  { margin, chains: { between, gap } }: TimedVerdict,
  hertz: number,
  { period, duty }: Oscillation,
): number {
  const { earlier, later } = between;
  // How long a net goes undriven only gets shorter with the period.
  if (gap === "most" || earlier.outside !== undefined || later.outside !== undefined) return Infinity;
  const sign = earlier.edge === later.edge ? 0 : later.edge === "fall" ? 1 : -1;
  const share = sign === 0 || between.high === undefined ? 0 : sign * duty[between.high];
  const periods = later.ticks - earlier.ticks + share;
  if (periods <= 0) return Infinity;
  const nominal = FS / hertz;
  const end = period[between.period ?? "min"];
  // The can's tolerance scales with the period.
  const slope = (periods * end) / nominal;
  return FS / (nominal - margin / slope);
}

/** The greatest delay of a wire, in femtoseconds, up to which a verdict's two chains hold, proved with `now`. */
export function reachOfWires({ margin, chains: { earlier, later } }: TimedVerdict, now: number): number {
  const wires = [...earlier, ...later].filter(
    ({ kind, used, cancelled }) => kind === "wire" && used === "max" && !cancelled,
  );
  return wires.length === 0 ? Infinity : now + margin / wires.length;
}
