import { type Fs, formatTime } from "../quantity/index.js";
import { type CompositeSync, separateSyncs } from "./composite.js";
import { type SyncPulses, differences, findSyncPulses } from "./pulses.js";
import type { Waveform } from "./waveform.js";

/** The sync nets of one cable: two, or both syncs on one. */
export type SyncNets = { readonly hsync: Waveform; readonly vsync: Waveform } | { readonly composite: Waveform };

/** What a monitor measures once both its oscillators follow the syncs. */
export interface Lock {
  readonly locked: true;
  readonly h: SyncPulses;
  readonly v: SyncPulses;
  readonly lineRateHz: number;
  /** Vertical syncs a second. */
  readonly fieldRateHz: number;
  /** Lines from one vertical sync to the next: whole, or half more when interlaced. */
  readonly linesPerField: number;
  readonly interlace: boolean;
  /** Width of vertical sync in lines, as measured. */
  readonly vSyncLines: number;
  /** By how much of a line vertical sync begins after the nearest horizontal sync, -0.5 to 0.5; of the first field. */
  readonly vSyncLag: number;
  /** Numbers of the lines, counted from the first horizontal sync on record, that are longer or shorter than the rest. */
  readonly oddLines: readonly number[];
  /** What the pulses look like where both syncs come on one net. */
  readonly composite?: CompositeSync;
}

/** Why there is no picture. */
export interface NoLock {
  readonly locked: false;
  readonly reason:
    | "no horizontal sync"
    | "no vertical sync"
    | "unsteady lines"
    | "unsteady frames"
    | "no whole lines"
    | "out of range"
    | "record too short";
  /** What was measured, in a sentence. */
  readonly detail: string;
}

/** In lines: a line that differs from the median by more is odd, and so is a frame. Our own choice. */
const ODD_LINE = 0.01;
const ODD_FRAME = 0.75;
/** A monitor cannot follow when more than this share of lines or frames is odd. Our own choice. */
const MOST_ODD = 0.05;
/** How far from a whole or half number of lines a field may be. */
const LINE_REMAINDER = 0.05;

/** Locks to the syncs, or says why not. Needs one whole frame on record, two for an interlaced one. */
export function lock(nets: SyncNets): Lock | NoLock {
  if (!("composite" in nets)) return lockTo(nets.hsync, nets.vsync);
  const syncs = separateSyncs(nets.composite);
  if (!syncs) return noLock("no horizontal sync", countEdges("composite", nets.composite));
  const { hsync, vsync, glitches, composite } = syncs;
  if (vsync.timesFs.length < 4) {
    const count = vsync.timesFs.length / 2;
    const detail = `The composite sync has broad pulses ${count === 1 ? "once" : "nowhere"} on record, too few to see a period.`;
    return noLock("no vertical sync", detail);
  }
  const locked = lockTo(hsync, vsync);
  if (!locked.locked) return locked;
  return { ...locked, h: { ...locked.h, glitches }, ...(composite && { composite }) };
}

function lockTo(hsync: Waveform, vsync: Waveform): Lock | NoLock {
  const h = findSyncPulses(hsync);
  if (!h) return noLock("no horizontal sync", countEdges("horizontal", hsync));
  const v = findSyncPulses(vsync);
  if (!v) return noLock("no vertical sync", countEdges("vertical", vsync));

  const oddLines = oddSteps(h, ODD_LINE * h.period);
  if (oddLines.length > MOST_ODD * (h.leadingFs.length - 1)) {
    return noLock("unsteady lines", `${oddLines.length} of ${h.leadingFs.length - 1} lines differ, ${extremes(h)}.`);
  }
  const oddFields = oddSteps(v, ODD_FRAME * h.period);
  if (oddFields.length > MOST_ODD * (v.leadingFs.length - 1)) {
    return noLock("unsteady frames", `${oddFields.length} of ${v.leadingFs.length - 1} frames differ, ${extremes(v)}.`);
  }

  const lines = v.period / h.period;
  if (lines < 1) {
    return noLock(
      "no whole lines",
      "Vertical sync comes more often than horizontal sync: the two nets may be swapped.",
    );
  }
  const linesPerField = Math.round(lines * 2) / 2;
  if (Math.abs(lines - linesPerField) > LINE_REMAINDER) {
    return noLock(
      "no whole lines",
      `A frame lasts ${lines.toFixed(3)} lines, so its lines do not fall on the last one's.`,
    );
  }

  return {
    locked: true,
    h,
    v,
    lineRateHz: 1e15 / h.period,
    fieldRateHz: 1e15 / v.period,
    linesPerField,
    interlace: !Number.isInteger(linesPerField),
    vSyncLines: v.width / h.period,
    vSyncLag: vSyncLag(h, v),
    oddLines,
  };
}

function noLock(reason: NoLock["reason"], detail: string): NoLock {
  return { locked: false, reason, detail };
}

function countEdges(which: string, wave: Waveform): string {
  const count = wave.timesFs.length;
  if (count === 0) return `The ${which} sync net stays ${wave.initial === 1 ? "high" : "low"}.`;
  return `The ${which} sync net changes ${count} ${count === 1 ? "time" : "times"}, too few to see a period.`;
}

function oddSteps({ leadingFs, period }: SyncPulses, mostFs: number): number[] {
  return differences(leadingFs).flatMap((step, index) => (Math.abs(step - period) > mostFs ? [index] : []));
}

function extremes({ leadingFs }: SyncPulses): string {
  const steps = differences(leadingFs);
  const text = (step: number) => formatTime(step as Fs, 3);
  // Not Math.min(...steps): a long record has more lines than a call takes arguments.
  return `from ${text(steps.reduce((a, b) => Math.min(a, b)))} to ${text(steps.reduce((a, b) => Math.max(a, b)))}`;
}

function vSyncLag(h: SyncPulses, v: SyncPulses): number {
  const lags = [...v.leadingFs.subarray(0, 2)].map((time) => {
    const lines = (time - (h.leadingFs[0] ?? 0)) / h.period;
    return lines - Math.round(lines);
  });
  // The two fields of an interlaced frame lie half a line apart; the first is the one that begins nearer to a line.
  const isInterlaced = !Number.isInteger(Math.round((v.period / h.period) * 2) / 2);
  const [first = 0, second = first] = lags;
  return isInterlaced && Math.abs(second) < Math.abs(first) ? second : first;
}
