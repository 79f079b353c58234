import type { PictureNets } from "../circuit/circuit.js";
import { type Fs, longFs } from "../quantity/index.js";
import {
  type Depth,
  type MonitorSignal,
  type Raster,
  fieldRate,
  fieldsPerFrame,
  findSyncPulses,
  inHertz,
  separateSyncs,
} from "../raster/index.js";
import type { Simulator } from "./simulator.js";
import { type Tape, record, twoLevels } from "./tape.js";

/** What went down the cable to the monitor. Where both syncs come on one net, both tapes are that net's. */
export interface ScreenRecord {
  readonly hsync: Tape;
  readonly vsync: Tape;
  /** In the order of the bits of a dot, most significant first: red, green, blue. */
  readonly video: readonly Tape[];
  /** When the record ends. */
  readonly until: Fs;
}

export interface RecordOptions {
  /** The raster that the circuit is meant to meet; it says how long to wait for vertical sync. */
  readonly raster?: Raster;
  /** Whole frames on record. */
  readonly frames: number;
  /** Nothing before this time is recorded. */
  readonly from: Fs;
  /** Keep marks of the video nets. */
  readonly marks?: boolean;
  /**
   * Handed the record of each frame as soon as it is whole. What came before is then forgotten, so that any number of frames
   * fits in memory; the record returned is that of the last frame alone.
   */
  readonly onFrame?: (record: ScreenRecord) => void;
  /** Told now and then how much of the time is over, in femtoseconds. */
  readonly onProgress?: (done: number, total: number) => void;
}

/** Field rate in hertz where no raster is known: slow, so that the wait is long enough. */
const SLOWEST_FIELD_RATE = 50;
/** Waiting time for each frame, in frames of the raster. */
const PATIENCE = 1.5;
const STEPS_A_FIELD = 32;
/** What stays on record before a vertical sync, as a share of a field: more lines than television has equalising pulses for. */
const LEAD_IN = 1 / 40;
/** How much longer than its width a vertical sync is waited for, as a share of it. */
const WIDTH_ROOM = 0.5;

/** The nets that carry dots, most significant bit first. */
export function videoNets({ video }: PictureNets) {
  return video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue];
}

/**
 * Runs a simulator until so many whole frames lie between vertical syncs, or until it is clear that none come: then the
 * record holds what there is, for the monitor to judge.
 */
export function recordScreen(simulator: Simulator, picture: PictureNets, options: RecordOptions): ScreenRecord {
  const { raster, frames, from, marks = false, onFrame, onProgress } = options;
  const fieldsInFrame = raster ? fieldsPerFrame(raster) : 1;
  const fields = frames * fieldsInFrame;
  const fieldTime = 1e15 / (raster ? inHertz(fieldRate(raster)) : SLOWEST_FIELD_RATE);
  const expected = from + (fields + 1) * fieldTime;
  const latest = from + PATIENCE * (fields + 1) * fieldTime;

  simulator.run(longFs(Math.max(from, simulator.now)));
  const hsync = record(simulator, picture.hsync);
  const vsync = picture.vsync === picture.hsync ? hsync : record(simulator, picture.vsync);
  const video = videoNets(picture).map((net) => record(simulator, net, marks));
  const soFar = (): ScreenRecord => ({ hsync, vsync, video, until: longFs(simulator.now) });
  const isLong = hsync === vsync && !onFrame;
  for (let seen = 0; seen < frames && simulator.now < latest;) {
    simulator.run(longFs(simulator.now + fieldTime / STEPS_A_FIELD));
    onProgress?.(simulator.now - from, Math.max(expected, simulator.now) - from);
    // A long composite record takes a while to take apart, so not before it can be enough.
    if (isLong && simulator.now < expected) continue;
    const starts = fieldStarts(soFar());
    if (!onFrame) {
      seen = Math.floor((starts.length - 1) / fieldsInFrame);
      continue;
    }
    const next = starts[fieldsInFrame];
    if (next === undefined) continue;
    seen++;
    onFrame(soFar());
    if (seen === frames) break;
    for (const tape of [hsync, vsync, ...video]) tape.forget(next - LEAD_IN * fieldTime);
  }
  return soFar();
}

/** When the vertical syncs on record begin; those that have ended, so that their width is known. */
function fieldStarts(screen: ScreenRecord): Float64Array {
  const { wave } = twoLevels(screen.vsync, screen.until);
  const vsync = screen.hsync === screen.vsync ? separateSyncs(wave)?.vsync : wave;
  const pulses = vsync && findSyncPulses(vsync);
  if (!pulses) return new Float64Array();
  const ended = screen.until - pulses.width - WIDTH_ROOM * pulses.width;
  return pulses.leadingFs.filter((start) => start < ended);
}

/** A record as the monitor takes it, with the times for which nets were unknown; an unknown level counts as low. */
export interface SeenSignal {
  readonly signal: MonitorSignal;
  /** Femtoseconds. */
  readonly unknownSyncFs: number;
  readonly unknownVideoFs: number;
}

/** Makes the monitor's signal of a record. */
export function signalOf(record: ScreenRecord, { video }: PictureNets): SeenSignal {
  if (video.kind === "mono") return signalOfTapes(record, { kind: "mono" });
  const [red, green, blue] = [video.red.length, video.green.length, video.blue.length];
  return signalOfTapes(record, { kind: "colour", red, green, blue });
}

/** As `signalOf`, where no circuit says how many tapes belong to each colour but `depth` does. */
export function signalOfTapes(record: ScreenRecord, depth: Depth): SeenSignal {
  const isComposite = record.hsync === record.vsync;
  const hsync = twoLevels(record.hsync, record.until);
  const vsync = isComposite ? hsync : twoLevels(record.vsync, record.until);
  const levels = record.video.map((tape) => twoLevels(tape, record.until));
  const waves = levels.map(({ wave }) => wave);
  const [first] = waves;
  if (!first) throw new RangeError("the picture has no video net");
  return {
    signal: {
      ...(isComposite ? { composite: hsync.wave } : { hsync: hsync.wave, vsync: vsync.wave }),
      video:
        depth.kind === "mono"
          ? { kind: "mono", net: first }
          : {
              kind: "colour",
              red: waves.slice(0, depth.red),
              green: waves.slice(depth.red, depth.red + depth.green),
              blue: waves.slice(depth.red + depth.green),
            },
    },
    unknownSyncFs: hsync.unknownFs + (isComposite ? 0 : vsync.unknownFs),
    unknownVideoFs: levels.reduce((sum, { unknownFs }) => sum + unknownFs, 0),
  };
}
