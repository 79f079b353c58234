import type { Fs } from "../quantity/index.js";
import { type Glitch, differences, findPulses, median, typical } from "./pulses.js";
import type { Polarity } from "./raster.js";
import type { Waveform } from "./waveform.js";

/**
 * How a composite sync goes on while vertical sync lasts. `half lines`: broad pulses twice a line, as television has them.
 * `whole lines`: one broad pulse a line, which ends before the next begins. `displaced`: the level is turned over, so that
 * pulses begin where horizontal ones would end (an exclusive or of the two). `block`: one pulse and no trace of lines.
 */
export type VerticalKind = "half lines" | "whole lines" | "displaced" | "block";

/** What a composite sync is made of; medians over all vertical syncs that are whole on record. */
export interface CompositeSync {
  readonly polarity: Polarity;
  readonly vertical: VerticalKind;
  /** Time from line to line, and width of the pulse of an ordinary line. */
  readonly line: Fs;
  readonly lineSync: Fs;
  /** Narrow pulses twice a line, before and after the broad ones; their width where there are any. */
  readonly equalisingBefore: number;
  readonly equalisingAfter: number;
  readonly equalising?: Fs;
  /** Broad pulses of one vertical sync, their width, and the gaps between them where there are several. */
  readonly broadPulses: number;
  readonly broad: Fs;
  readonly serration?: Fs;
}

/** A composite sync taken apart, as a monitor does. Both nets have the polarity of the one. */
export interface SeparateSyncs {
  readonly hsync: Waveform;
  readonly vsync: Waveform;
  /** On the one net. */
  readonly glitches: readonly Glitch[];
  /** Absent where no vertical sync is whole on record. */
  readonly composite?: CompositeSync;
}

interface Pulse {
  readonly start: number;
  readonly end: number;
}

/** Pulses with first and last place among all. */
interface Group {
  readonly first: number;
  readonly last: number;
}

/** A pulse of so many line syncs is broad: of the standards' 27 µs against 4.7, and of block syncs, well between. Our own choice. */
const BROAD = 2;
/** A pulse narrower than this share of a line sync is an equalising one: the standards halve it. Our own choice. */
const NARROW = 0.75;
/** An edge this far from where it is due, in lines, is not a line's. Television's half lines lie at 0.5. */
const LINE_WINDOW = 0.25;
/** Broad pulses that begin later than this share of a line sync begin where one would have ended. Our own choice. */
const DISPLACED = 0.5;

/**
 * Takes a composite sync apart. Vertical sync begins with the first broad pulse and ends with the last, its serration
 * included. A line begins at a leading edge about a line after the one before; half lines are passed over. Undefined when too
 * little is on record to tell lines by.
 */
export function separateSyncs(net: Waveform): SeparateSyncs | undefined {
  const found = findPulses(net);
  if (!found) return undefined;
  const all = pairs(found.edgesFs);
  if (all.length < 3) return undefined;
  const line = typical(differences(all.map(({ start }) => start)));
  const lineSync = typical(all.map(widthOf));
  const isBroad = (pulse: Pulse) => widthOf(pulse) > BROAD * lineSync;

  // Where a record begins with a broad pulse nobody knows what came before.
  const pulses = all.slice(all.findIndex((pulse) => !isBroad(pulse)));
  const groups = groupsOf(pulses, isBroad, line / 2);
  const { polarity, glitches } = found;
  const vertical = groups.map((group) => verticalPulse(pulses, group, line, lineSync));
  const measured = measure(pulses, groups, line, lineSync);
  return {
    hsync: waveOf(polarity, linePulses(pulses, line, lineSync)),
    vsync: waveOf(polarity, vertical),
    glitches,
    ...(measured && { composite: { polarity, ...measured } }),
  };
}

/** Whole pulses; one that has no end on record is left out. */
function pairs(edges: Float64Array): Pulse[] {
  const pulses: Pulse[] = [];
  for (let edge = 0; edge + 1 < edges.length; edge += 2) {
    pulses.push({ start: edges[edge] ?? 0, end: edges[edge + 1] ?? 0 });
  }
  return pulses;
}

/** Broad pulses with no more than `most` between them, taken together. */
function groupsOf(pulses: readonly Pulse[], isBroad: (pulse: Pulse) => boolean, most: number): Group[] {
  const groups: Group[] = [];
  pulses.forEach((pulse, index) => {
    if (!isBroad(pulse)) return;
    const open = groups.at(-1);
    const before = pulses[index - 1];
    if (open && before && open.last === index - 1 && pulse.start - before.end < most) {
      groups[groups.length - 1] = { ...open, last: index };
    } else {
      groups.push({ first: index, last: index });
    }
  });
  return groups;
}

/** From where vertical sync began to where it ended. */
function verticalPulse(pulses: readonly Pulse[], { first, last }: Group, line: number, lineSync: number): Pulse {
  const [before, begin, end, next] = [
    pulses[first - 1]?.start ?? 0,
    pulses[first]?.start ?? 0,
    pulses[last]?.end ?? 0,
    pulses[last + 1]?.start ?? Infinity,
  ];
  // An exclusive or shows nothing of vertical sync until the line sync that begins with it is over.
  const isLate = Math.abs(((begin - before) % line) - lineSync) < lineSync / 4;
  return {
    start: isLate ? begin - lineSync : begin,
    // The gap after the last of several broad pulses is a serration too.
    end: last > first && next - end < line / 4 ? next : end,
  };
}

/** One pulse for each line, as wide as a line sync at most. */
function linePulses(pulses: readonly Pulse[], line: number, lineSync: number): Pulse[] {
  const isLine = (step: number) => Math.abs(step - line) < line / 50;
  const first = pulses.findIndex(({ start }, index) => isLine((pulses[index + 1]?.start ?? Infinity) - start));
  const lines: Pulse[] = [];
  let due = pulses[Math.max(first, 0)]?.start ?? 0;
  for (const { start, end } of pulses.slice(Math.max(first, 0))) {
    if (start < due - LINE_WINDOW * line) continue;
    while (start > due + LINE_WINDOW * line) due += line;
    if (start < due - LINE_WINDOW * line) continue;
    lines.push({ start, end: Math.min(end, start + lineSync) });
    due = start + line;
  }
  return lines;
}

function measure(pulses: readonly Pulse[], groups: readonly Group[], line: Fs, lineSync: Fs) {
  const whole = groups.filter(({ last }) => last < pulses.length - 1);
  if (whole.length === 0) return undefined;
  const isEqualising = (index: number, neighbour: number) => {
    const [pulse, other] = [pulses[index], pulses[neighbour]];
    if (!pulse || !other) return false;
    const step = Math.abs(other.start - pulse.start);
    return pulse.end - pulse.start < NARROW * lineSync && Math.abs(step - line / 2) < LINE_WINDOW * (line / 2);
  };
  const runs = whole.map(({ first, last }) => {
    let [before, after] = [0, 0];
    while (isEqualising(first - before - 1, first - before)) before++;
    while (isEqualising(last + after + 1, last + after)) after++;
    const broad = pulses.slice(first, last + 1);
    return {
      before,
      after,
      broadPulses: broad.length,
      broad: broad.map(widthOf),
      equalising: [...pulses.slice(first - before, first), ...pulses.slice(last + 1, last + 1 + after)].map(widthOf),
      serrations: broad.slice(1).map(({ start }, index) => start - (broad[index]?.end ?? 0)),
      steps: differences(broad.map(({ start }) => start)),
      // The second broad pulse, since the first may begin anywhere in a line.
      lag: ((broad[1]?.start ?? 0) - (pulses[first - before - 1]?.start ?? 0)) % line,
    };
  });
  const equalising = runs.flatMap((run) => run.equalising);
  const serrations = runs.flatMap((run) => run.serrations);
  return {
    vertical: kindOf(
      runs.flatMap(({ steps }) => steps),
      runs.map(({ lag }) => lag),
      line,
      lineSync,
    ),
    line,
    lineSync,
    equalisingBefore: median(runs.map(({ before }) => before)),
    equalisingAfter: median(runs.map(({ after }) => after)),
    ...(equalising.length > 0 && { equalising: typical(equalising) }),
    broadPulses: median(runs.map(({ broadPulses }) => broadPulses)),
    broad: typical(runs.flatMap(({ broad }) => broad)),
    ...(serrations.length > 0 && { serration: typical(serrations) }),
  };
}

function kindOf(steps: readonly number[], lags: readonly number[], line: Fs, lineSync: Fs): VerticalKind {
  if (steps.length === 0) return "block";
  if (median(steps) < 0.75 * line) return "half lines";
  const lag = median(lags.map((late) => (late > line / 2 ? late - line : late)));
  return Math.abs(lag) > DISPLACED * lineSync ? "displaced" : "whole lines";
}

function widthOf({ start, end }: Pulse): number {
  return end - start;
}

function waveOf(polarity: Polarity, pulses: readonly Pulse[]): Waveform {
  return {
    initial: polarity === "positive" ? 0 : 1,
    timesFs: Float64Array.from(pulses.flatMap(({ start, end }) => [start, end])),
  };
}
