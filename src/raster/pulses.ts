import { type Fs, fs } from "../quantity/index.js";
import type { Polarity } from "./raster.js";
import type { Waveform } from "./waveform.js";

/** A pulse, or a gap in a pulse, much narrower than the sync pulses. */
export interface Glitch {
  readonly at: Fs;
  readonly width: Fs;
}

/** The sync pulses on a net, measured. */
export interface SyncPulses {
  readonly polarity: Polarity;
  /** Share of the time that the pulse lasts, 0 to 1, from the first to the last leading edge. */
  readonly duty: number;
  /** Times of the leading edges, rising, in femtoseconds. At least two. */
  readonly leadingFs: Float64Array;
  /** Time between leading edges, and width: the mean of those near the median. */
  readonly period: Fs;
  readonly width: Fs;
  /** What a monitor's input filter would take away; neither a leading edge nor the gap after it counts. */
  readonly glitches: readonly Glitch[];
}

/** What is narrower than this share of a sync pulse does not count as one. Our own choice. */
const GLITCH_SHARE = 1 / 8;

/** The pulses on a net, whatever they mean. */
export interface Pulses {
  readonly polarity: Polarity;
  /** Begin and end of each in turn, rising, in femtoseconds: begins at even places. The last may have no end. */
  readonly edgesFs: Float64Array;
  readonly glitches: readonly Glitch[];
}

/**
 * Finds the pulses on a net: the level that holds for less than half of the time. What is much narrower than most of them is
 * taken out as a glitch. Undefined when too few edges are on record to tell.
 */
export function findPulses(wave: Waveform): Pulses | undefined {
  const polarity = findPolarity(wave);
  if (!polarity) return undefined;
  const isPulse = (edge: number) => ((wave.initial === 0) === (edge % 2 === 0)) === (polarity === "positive");
  const rawWidths = differences(wave.timesFs).filter((_, edge) => isPulse(edge));
  const { edges, glitches } = removeNarrow(wave, widthOfMostTime(rawWidths) * GLITCH_SHARE);
  // Edges go in pairs, so the first one left has the sense of the first on record.
  return { polarity, edgesFs: Float64Array.from(isPulse(0) ? edges : edges.slice(1)), glitches };
}

/** Finds the sync pulses on a net. Undefined when fewer than two begin, so that no period can be measured. */
export function findSyncPulses(wave: Waveform): SyncPulses | undefined {
  const pulses = findPulses(wave);
  if (!pulses) return undefined;
  const { polarity, edgesFs, glitches } = pulses;
  const leadingFs = edgesFs.filter((_, edge) => edge % 2 === 0);
  const widths = differences(edgesFs).filter((_, edge) => edge % 2 === 0);
  const [first, last] = [leadingFs[0], leadingFs.at(-1)];
  if (first === undefined || last === undefined || leadingFs.length < 2) return undefined;

  const pulseTime = widths.slice(0, leadingFs.length - 1).reduce((sum, width) => sum + width, 0);
  return {
    polarity,
    duty: pulseTime / (last - first),
    leadingFs,
    period: typical(differences(leadingFs)),
    width: typical(widths),
    glitches,
  };
}

/** From whole periods only, so that where the record begins and ends does not tip the balance. */
function findPolarity({ initial, timesFs }: Waveform): Polarity | undefined {
  if (timesFs.length < 3) return undefined;
  const steps = differences(timesFs.subarray(0, timesFs.length - ((timesFs.length - 1) % 2)));
  let balance = 0;
  steps.forEach((step, index) => (balance += index % 2 === 0 ? step : -step));
  const pulseLevel = balance < 0 ? 1 - initial : initial;
  return pulseLevel === 1 ? "positive" : "negative";
}

/** The edges that are left when every stretch narrower than `least` is taken away with the two edges that bound it. */
function removeNarrow(wave: Waveform, least: number) {
  const edges: number[] = [];
  const glitches: Glitch[] = [];
  for (const time of wave.timesFs) {
    const before = edges.at(-1);
    if (before !== undefined && time - before < least) {
      edges.pop();
      glitches.push({ at: fs(before), width: fs(time - before) });
    } else {
      edges.push(time);
    }
  }
  return { edges, glitches };
}

/** The width at which half of all pulse time is reached: many narrow glitches do not move it. */
function widthOfMostTime(widths: readonly number[]): number {
  const sorted = [...widths].sort((a, b) => a - b);
  const total = sorted.reduce((sum, width) => sum + width, 0);
  let passed = 0;
  for (const width of sorted) {
    passed += width;
    if (passed * 2 >= total) return width;
  }
  return 0;
}

/** Times from each to the next. */
export function differences(times: ArrayLike<number>): number[] {
  const steps: number[] = [];
  for (let index = 1; index < times.length; index++) steps.push((times[index] ?? 0) - (times[index - 1] ?? 0));
  return steps;
}

/** The middle value, rounded to a whole femtosecond. Throws RangeError when there is none. */
export function median(values: readonly number[]): Fs {
  const sorted = [...values].sort((a, b) => a - b);
  const upper = sorted[sorted.length >> 1];
  const lower = sorted[(sorted.length - 1) >> 1];
  if (upper === undefined || lower === undefined) throw new RangeError("no values to take a median of");
  return fs(Math.round((lower + upper) / 2));
}

/** What is further from the median, as a share of it, does not count for the mean. Our own choice. */
const NEAR = 0.05;

/**
 * The mean of what lies near the median, so that neither a few odd ones nor the steps of an instrument's clock move it.
 * Throws RangeError when there is none.
 */
export function typical(values: readonly number[]): Fs {
  const middle = median(values);
  const near = values.filter((value) => Math.abs(value - middle) <= NEAR * middle);
  // Both middle values may be far from the median between them.
  if (near.length === 0) return middle;
  return fs(Math.round(near.reduce((sum, value) => sum + value, 0) / near.length));
}
