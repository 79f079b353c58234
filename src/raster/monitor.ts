import type { Range } from "../quantity/index.js";
import { findBlackLevelError } from "./black-level.js";
import type { Finding } from "./finding.js";
import { type PictureFacts, findingWithoutPicture, findingsInPicture } from "./findings.js";
import { findLitArea, findStrayLight } from "./light.js";
import { type Lock, type NoLock, type SyncNets, lock } from "./lock.js";
import type { Picture } from "./picture.js";
import { seePorches } from "./porches.js";
import { findDisplacement, findPhase } from "./position.js";
import type { Raster } from "./raster.js";
import { compare, recognise } from "./recognise.js";
import { samplePicture } from "./sample.js";
import { type Displacement, countFrames, scanFrame } from "./scan.js";
import { compareTelevision } from "./television.js";
import { type Unheld, drawUnheld } from "./unheld.js";
import { type VideoNets, listVideo } from "./video.js";

/** Everything that goes down the cable. At least two vertical syncs must be on record, three for an interlaced raster. */
export type MonitorSignal = SyncNets & { readonly video: VideoNets };

/** Rates that a monitor follows. */
export interface MonitorRange {
  /** Lines a second. */
  readonly lineRateHz: Range;
  /** Vertical syncs a second. */
  readonly fieldRateHz: Range;
}

export interface MonitorSettings {
  /** The raster that the signal is meant to have; the nearest published one when absent. */
  readonly raster?: Raster;
  /** Rates that the monitor can follow; any when absent. */
  readonly range?: MonitorRange;
  /** Width of the circuit's own dots in dots of the raster, 1 when absent. It settles how far video may lag behind sync. */
  readonly pixel?: number;
  /** Where the picture stands, as found in an earlier frame; found anew when absent. */
  readonly displacement?: Displacement;
  /** Which whole frame on record to show, from 0; the last one when absent. */
  readonly frame?: number;
}

/** A monitor that does not show a picture. */
export interface NoPicture extends NoLock {
  /** What a picture tube shows all the same; absent where no raster says what it was made for. */
  readonly unheld?: Unheld;
  readonly findings: readonly Finding[];
}

/** A monitor that does. */
export interface Shown extends PictureFacts {
  readonly locked: true;
  /** The active area, one value a dot of the raster. */
  readonly picture: Picture;
  /** What a person should know; empty when all is well. */
  readonly findings: readonly Finding[];
}

/**
 * What a monitor shows of a signal, from its sync and video nets alone: it locks, names the raster, samples every dot in its
 * middle, and crops to the active area. Throws RangeError when `settings.frame` is not on record.
 */
export function watch(signal: MonitorSignal, settings: MonitorSettings = {}): NoPicture | Shown {
  // 1. Lock to the syncs.
  const measured = lock(signal);
  if (!measured.locked) return noPicture(measured, signal, settings);
  const refusal = settings.range && outOfRange(measured, settings.range);
  if (refusal) return noPicture(refusal, signal, { raster: recognise(measured).best.raster, ...settings });

  // 2. Name the raster.
  const recognition = recognise(measured);
  const against = settings.raster ? compare(measured, settings.raster) : recognition.best;
  const { raster } = against;

  // 3. Lay it over one frame, and find where the picture stands.
  const frames = countFrames(measured, raster);
  if (frames === 0) return { ...tooShort(measured), findings: [findingWithoutPicture(tooShort(measured))] };
  const scan = scanFrame(measured, raster, settings.frame ?? frames - 1);
  const nets = listVideo(signal.video);
  const phase = findPhase(scan, nets, settings.pixel ?? 1);
  const lit = findLitArea(scan, nets);
  const displacement = settings.displacement ?? findDisplacement(scan, phase, lit);

  // 4. Look for what is not as it should be, and sample.
  const stray = findStrayLight(scan, nets, displacement);
  const blackLevel = findBlackLevelError(scan, signal.video, displacement);
  const porches = lit && seePorches(measured, scan, lit);
  const light = lit && porches && { scan, lit, porches };
  const television = measured.composite && compareTelevision(measured, measured.composite, light);
  const facts = {
    lock: measured,
    recognition,
    against,
    displacement,
    stray,
    ...(phase && { phase }),
    ...(lit && { lit }),
    ...(porches && { porches }),
    ...(blackLevel && { blackLevel }),
    ...(television && { television }),
  };
  return {
    locked: true,
    ...facts,
    picture: samplePicture(scan, signal.video, displacement),
    findings: findingsInPicture(facts),
  };
}

function noPicture(noLock: NoLock, signal: MonitorSignal, { raster, range }: MonitorSettings): NoPicture {
  const unheld = raster && drawUnheld(signal, raster, range);
  return { ...noLock, ...(unheld && { unheld }), findings: [findingWithoutPicture(noLock, unheld)] };
}

function outOfRange({ lineRateHz, fieldRateHz }: Lock, range: MonitorRange): NoLock | undefined {
  const lines = describeRate("line", lineRateHz / 1000, "kHz", range.lineRateHz, 1000);
  const fields = describeRate("frame", fieldRateHz, "Hz", range.fieldRateHz, 1);
  const detail = [lines, fields].filter((text) => text !== undefined).join(" ");
  return detail === "" ? undefined : { locked: false, reason: "out of range", detail };
}

function describeRate(which: string, rate: number, unit: string, { min, max }: Range, scale: number) {
  if (rate * scale >= min && rate * scale <= max) return undefined;
  return `The ${which} rate is ${rate.toFixed(3)} ${unit}; the monitor follows ${min / scale} to ${max / scale} ${unit}.`;
}

function tooShort({ v }: Lock): NoLock {
  const detail = `${v.leadingFs.length} vertical syncs are on record; a frame of two fields needs three.`;
  return { locked: false, reason: "record too short", detail };
}
