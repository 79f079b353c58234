import { separateSyncs } from "./composite.js";
import { inHertz } from "./frequency.js";
import type { SyncNets } from "./lock.js";
import { type Hold, fieldStarts, lineStarts } from "./oscillators.js";
import type { Picture } from "./picture.js";
import { type SyncPulses, differences, findSyncPulses, median } from "./pulses.js";
import type { Range } from "../quantity/index.js";
import { type Raster, dotsBeforePicture, fieldRate, lineRate, linesBeforePicture, linesPerField } from "./raster.js";
import { samplePicture } from "./sample.js";
import { type VideoNets, listVideo } from "./video.js";

/** What a picture tube shows of a signal that its oscillators do not hold. */
export interface Unheld {
  /** The last of its own fields on record; absent where not one is. One value a dot of the raster. */
  readonly picture?: Picture;
  /** By how many dots each line stands further right than the one above; 0 where lines are held. */
  readonly dotsPerLine: number;
  /** By how many lines the picture moves down from field to field; 0 where it stands. */
  readonly linesPerField: number;
  /** What a person sees, in a sentence or two. */
  readonly what: string;
}

/** A monitor made for one raster holds lines and frames this far from it, as a share. Common practice, from memory. */
const HOLD_LINES = 0.03;
const HOLD_FIELDS = 0.1;
/** Slower than this, in dots a line or in lines a field, is not seen as tearing or rolling. Our own choice. */
const LEAST_SLOPE = 0.05;
const LEAST_ROLL = 0.02;
/** A line this share of a line from its sync stands out. Our own choice. */
const OUT_OF_PLACE = 0.01;
/** With lines this share longer or shorter than the tube's own, no stripes are made out. Our own choice. */
const FAR_OFF = 0.25;

/**
 * Lets a picture tube made for a raster draw a signal that it may not hold. `range` is what its oscillators follow; a little
 * around the raster when absent.
 */
export function drawUnheld(
  signal: SyncNets & { readonly video: VideoNets },
  raster: Raster,
  range?: { readonly lineRateHz: Range; readonly fieldRateHz: Range },
): Unheld {
  const { h, v } = syncsOf(signal);
  const lineHold = holdOf(1e15 / inHertz(lineRate(raster)), HOLD_LINES, range?.lineRateHz);
  const fieldHold = holdOf(1e15 / inHertz(fieldRate(raster)), HOLD_FIELDS, range?.fieldRateHz);
  const until = endOf(signal);
  const lines = lineStarts(h?.leadingFs ?? new Float64Array(), 0, until, lineHold);
  const fields = fieldStarts(v?.leadingFs ?? new Float64Array(), 0, until, fieldHold);
  const [top, bottom] = [fields.at(-2), fields.at(-1)];

  const drawn = lines.filter((time) => time >= (top ?? 0) && time < (bottom ?? until));
  const period = drawn.length > 1 ? median(differences(drawn)) : lineHold.free;
  const dotFs = period / raster.h.total;
  const picture =
    top === undefined || bottom === undefined ? undefined : draw(signal.video, raster, dotFs, lines, top, bottom);
  const dotsPerLine = h ? slope((h.period - period) / dotFs, LEAST_SLOPE) : 0;
  const rolled = v && top !== undefined && bottom !== undefined ? slope(roll(v, bottom - top) / period, LEAST_ROLL) : 0;
  const out = h ? outOfPlace(h, drawn) : drawn.length;
  return {
    ...(picture && { picture }),
    dotsPerLine,
    linesPerField: rolled,
    what: [tearing(h, dotsPerLine, out, drawn.length, period), rolling(v, rolled, raster)].join(" ").trim(),
  };
}

function syncsOf(signal: SyncNets): { h: SyncPulses | undefined; v: SyncPulses | undefined } {
  const nets = "composite" in signal ? separateSyncs(signal.composite) : signal;
  return { h: nets && findSyncPulses(nets.hsync), v: nets && findSyncPulses(nets.vsync) };
}

function holdOf(free: number, share: number, range: Range | undefined): Hold {
  if (!range) return { free, least: free * (1 - share), most: free * (1 + share) };
  const [least, most] = [1e15 / range.max, 1e15 / range.min];
  return { free: Math.min(most, Math.max(least, free)), least, most };
}

/** The last change of any net on record. */
function endOf(signal: SyncNets & { readonly video: VideoNets }): number {
  const syncs = "composite" in signal ? [signal.composite] : [signal.hsync, signal.vsync];
  return [...syncs, ...listVideo(signal.video)].reduce((last, { timesFs }) => Math.max(last, timesFs.at(-1) ?? 0), 0);
}

function draw(
  video: VideoNets,
  raster: Raster,
  dotFs: number,
  starts: readonly number[],
  top: number,
  bottom: number,
): Picture {
  const lineFs = dotFs * raster.h.total;
  const rowsPerLine = raster.v.total / linesPerField(raster);
  // Lines follow their sync to some part of a line, so that the first may begin before the field does.
  const margin = lineFs / 4;
  const lines = starts
    .filter((time) => time >= top - margin && time < bottom - margin)
    .map((startFs) => ({
      startFs,
      row: Math.round(rowsPerLine * ((startFs - top) / lineFs - linesBeforePicture(raster))),
    }));
  return samplePicture({ raster, dotFs, firstDot: dotsBeforePicture(raster), lines }, video, { dots: 0, rows: 0 });
}

/** How many lines begin far from their sync, or without any. */
function outOfPlace({ leadingFs, period }: SyncPulses, starts: readonly number[]): number {
  let next = 0;
  return starts.filter((start) => {
    while ((leadingFs[next + 1] ?? Infinity) <= start) next++;
    const distance = Math.min(
      Math.abs((leadingFs[next] ?? -Infinity) - start),
      Math.abs((leadingFs[next + 1] ?? Infinity) - start),
    );
    return distance > OUT_OF_PLACE * period;
  }).length;
}

/** How much later the picture begins in the next field, where one field of the tube may take several of the signal. */
function roll(v: SyncPulses, fieldFs: number): number {
  return Math.max(1, Math.round(fieldFs / v.period)) * v.period - fieldFs;
}

function slope(value: number, least: number): number {
  return Math.abs(value) < least ? 0 : value;
}

function tearing(h: SyncPulses | undefined, dotsPerLine: number, out: number, lines: number, period: number): string {
  if (!h) return "A picture tube draws its lines anywhere: nothing says where they begin.";
  if (Math.abs(h.period / period - 1) > FAR_OFF)
    return "A picture tube's lines are far from these: nothing is made out.";
  if (dotsPerLine !== 0) {
    const [dots, way] = [Math.abs(dotsPerLine).toFixed(1), dotsPerLine > 0 ? "right" : "left"];
    return `A picture tube tears the picture into slanting stripes: each line stands ${dots} dots further ${way}.`;
  }
  return out > 0 ? `On a picture tube ${out} of ${lines} lines stand out of place: the picture is torn there.` : "";
}

function rolling(v: SyncPulses | undefined, linesPerFrame: number, raster: Raster): string {
  if (!v) return "A picture tube lets the picture roll: nothing says where it begins.";
  if (linesPerFrame === 0) return "";
  const [lines, way] = [Math.abs(linesPerFrame), linesPerFrame > 0 ? "down" : "up"];
  const seconds = ((linesPerField(raster) / lines) * v.period) / 1e15;
  return `A picture tube lets the picture roll ${way} by ${lines.toFixed(1)} lines a frame, once round in ${seconds.toFixed(1)} s.`;
}
