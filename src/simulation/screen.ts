import type { PictureNets } from "../circuit/circuit.js";
import { type Fs, fs } from "../quantity/index.js";
import { type MonitorSignal, type Raster, fieldRate, fieldsPerFrame, inHertz } from "../raster/index.js";
import type { Simulator } from "./simulator.js";
import { type Tape, record, twoLevels } from "./tape.js";
import { HIGH, LOW } from "./value.js";

/** What went down the cable to the monitor. */
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
  /** Told now and then how much of the time is over, in femtoseconds. */
  readonly onProgress?: (done: number, total: number) => void;
}

/** Field rate in hertz where no raster is known: slow, so that the wait is long enough. */
const SLOWEST_FIELD_RATE = 50;
/** Waiting time for each frame, in frames of the raster. */
const PATIENCE = 1.5;
const STEPS_A_FIELD = 32;

/** The nets that carry dots, most significant bit first. */
export function videoNets({ video }: PictureNets) {
  return video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue];
}

/**
 * Runs a simulator until so many whole frames lie between vertical syncs, or until it is clear that none come: then the
 * record holds what there is, for the monitor to judge.
 */
export function recordScreen(simulator: Simulator, picture: PictureNets, options: RecordOptions): ScreenRecord {
  const { raster, frames, from, marks = false, onProgress } = options;
  const fields = frames * (raster ? fieldsPerFrame(raster) : 1);
  const fieldTime = 1e15 / (raster ? inHertz(fieldRate(raster)) : SLOWEST_FIELD_RATE);
  const expected = from + (fields + 1) * fieldTime;
  const latest = from + PATIENCE * (fields + 1) * fieldTime;

  simulator.run(fs(Math.max(from, simulator.now)));
  const hsync = record(simulator, picture.hsync);
  const vsync = record(simulator, picture.vsync);
  const video = videoNets(picture).map((net) => record(simulator, net, marks));
  let [rises, falls, counted] = [0, 0, 0];
  while ((rises <= fields || falls <= fields) && simulator.now < latest) {
    simulator.run(fs(Math.round(simulator.now + fieldTime / STEPS_A_FIELD)));
    const { values } = vsync;
    for (; counted < values.length; counted++) {
      if (values[counted] === HIGH) rises++;
      else if (values[counted] === LOW) falls++;
    }
    onProgress?.(simulator.now - from, Math.max(expected, simulator.now) - from);
  }
  return { hsync, vsync, video, until: fs(simulator.now) };
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
  const [hsync, vsync] = [twoLevels(record.hsync, record.until), twoLevels(record.vsync, record.until)];
  const levels = record.video.map((tape) => twoLevels(tape, record.until));
  const waves = levels.map(({ wave }) => wave);
  const [first] = waves;
  if (!first) throw new RangeError("the picture has no video net");
  const redBits = video.kind === "colour" ? video.red.length : 0;
  const greenBits = video.kind === "colour" ? video.green.length : 0;
  return {
    signal: {
      hsync: hsync.wave,
      vsync: vsync.wave,
      video:
        video.kind === "mono"
          ? { kind: "mono", net: first }
          : {
              kind: "colour",
              red: waves.slice(0, redBits),
              green: waves.slice(redBits, redBits + greenBits),
              blue: waves.slice(redBits + greenBits),
            },
    },
    unknownSyncFs: hsync.unknownFs + vsync.unknownFs,
    unknownVideoFs: levels.reduce((sum, { unknownFs }) => sum + unknownFs, 0),
  };
}
