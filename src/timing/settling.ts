import type { NetModel } from "./model.js";
import type { Present, Region } from "./state.js";
import type { Step } from "./step.js";

/** An output that has been changing for this many oscillator periods without a pause does not come to rest. */
const MOST_RESTLESS_TICKS = 16;

/** Whether the region that a wave is still in the middle of has gone on for too long. */
export function isRestless(wave: Pick<Present, "regions" | "members">): boolean {
  const region = wave.regions.at(-1);
  return wave.members.length > 0 && region !== undefined && region.born <= -MOST_RESTLESS_TICKS;
}

/**
 * The failure of an output, or of a shared net, to come to rest between one change and the next. No fault where no chip looks
 * at the net: a picture's dots may follow each other faster than their edges are known.
 */
export function reportRestless(step: Step, net: NetModel, region: Region, chip: string, pin: string): void {
  const { picture } = step.model.circuit;
  if (net.receivers.length === 0 && net.net.id !== picture?.hsync && net.net.id !== picture?.vsync) return;
  const [earlier] = region.early;
  const later = region.late.at(-1);
  step.checks.push({
    rule: "settling",
    chip,
    pin,
    net: net.net.name,
    symbol: "settles",
    reference: "",
    required: 0,
    available: -step.model.time.period.max,
    typical: 0,
    ...(earlier && later ? { earlier, later } : {}),
    note: "each change begins before the one before it is over: the net never comes to rest",
  });
}
