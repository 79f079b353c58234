import type { Circuit } from "../circuit/index.js";
import { inNs } from "../quantity/index.js";
import type { Fs } from "../quantity/index.js";
import type { FrameResult } from "../simulation/index.js";
import { screenData } from "./screen-data.js";
import { scriptData } from "./script-text.js";
import { isInOrder } from "./simulate-text.js";

/** How many contentions and stray writes are listed; all are counted. */
const mostListed = 20;

/** What the monitor shows, as data for other programs. Times are in nanoseconds unless the name says otherwise. */
export function frameData({ nets }: Circuit, seen: FrameResult) {
  const { monitor, raster, picture, difference, layout, contentions } = seen;
  const time = (value: number) => inNs(value as Fs);
  return {
    inOrder: isInOrder(seen),
    ...screenData({ monitor, ...(raster && { raster }) }),
    ...(picture && { picture: { width: picture.width, height: picture.height } }),
    ...(seen.repeats && { smearedDots: seen.repeats.unequal }),
    ...(difference && { unlikeTestCard: difference.sameSize ? difference.count : "another size" }),
    ...(layout && ("problem" in layout ? { noTestCard: layout.problem } : { dotsFoundInMemory: layout.found })),
    unknownSync: time(seen.unknownSyncFs),
    unknownVideo: time(seen.unknownVideoFs),
    ...(seen.violations && {
      violations: seen.violations.map(({ rule, chip, pin, reference, required, ...violation }) => ({
        rule,
        chip: chip.ref,
        pin,
        ...(reference !== undefined && { reference }),
        symbol: required.symbol,
        required: time(required.time),
        actual: time(violation.actual),
        firstAt: time(violation.firstAt),
        worstAt: time(violation.worstAt),
        count: violation.count,
        asynchronous: violation.asynchronous,
        source: required.source,
      })),
      notWatched: seen.notWatched,
    }),
    ...(seen.script && { script: scriptData(seen.script) }),
    contentions: {
      count: contentions.count,
      opposed: contentions.opposedCount,
      first: contentions.ended.slice(0, mostListed).map(({ net, from, to, pins, opposed }) => ({
        net: net.name,
        from: time(from),
        ...(to !== undefined && { to: time(to) }),
        pins,
        opposed,
      })),
    },
    memories: seen.memories.map(({ ref, writeCount, strayCount, strayWrites }) => ({
      chip: ref,
      writes: writeCount,
      strayWrites: strayCount,
      firstStrayWrites: strayWrites
        .slice(0, mostListed)
        .map(({ time: at, address }) => ({ at: time(at), ...(address !== undefined && { address }) })),
    })),
    standIns: seen.standIns.map(({ arc, missing, delay }) => ({ arc, missing, delay: time(delay) })),
    resetsShortened: seen.shortened.map((net) => nets[net]?.name),
    simulatedMs: time(seen.simulated) / 1e6,
    events: seen.events,
  };
}
