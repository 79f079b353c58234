import type { PictureNets } from "../../circuit/circuit.js";
import { longFs } from "../../quantity/index.js";
import {
  type Displacement,
  type Lock,
  type MonitorSettings,
  type NoPicture,
  type Picture,
  type Scan,
  type Shown,
  blackPicture,
  countFrames,
  fieldRate,
  fieldsPerFrame,
  inHertz,
  lock,
  scanFrame,
  watch,
} from "../../raster/index.js";
import { type ScreenRecord, signalOf, videoNets } from "../screen.js";
import type { Machine } from "./machine.js";
import { tapeOf } from "./recording-tape.js";
import type { Recording } from "./recording.js";

/** Field rate in hertz where no raster is known: slow, so that the wait is long enough. */
const SLOWEST_FIELD_RATE = 50;
/** What stays on record before a vertical sync, as a share of a field: more lines than television has equalising pulses for. */
const LEAD_IN = 1 / 40;
/** Fields of waiting time for each, until a monitor has locked. */
const PATIENCE = 1.1;
/** Further frames that the first one may take. */
const MORE_AT_FIRST = 2;
/** By how much rates may wander before a monitor looks anew, as a share; and the lag of vertical sync, in lines. */
const SAME_RATE = 1e-4;
const SAME_LAG = 0.01;

/**
 * A monitor that watches a compiled circuit while it runs: it looks at sync and video nets alone, as `watch` does. Once it has
 * locked and has seen where the picture stands it only takes the level of each dot in its middle, frame after frame, which is
 * quick; it looks at everything anew when the syncs change.
 */
export class BeamScreen {
  private readonly machine: Machine;
  private readonly nets: PictureNets;
  private readonly settings: MonitorSettings;
  private recording: Recording | undefined;
  private state: NoPicture | Shown | undefined;
  /** The last look at everything that came upon a lit picture. */
  private settled: Shown | undefined;
  private forgottenUnknown = { sync: 0, video: 0 };

  /** The machine must record the nets of the picture, and nothing else may record it meanwhile. */
  constructor(machine: Machine, nets: PictureNets, settings: MonitorSettings) {
    this.machine = machine;
    this.nets = nets;
    this.settings = settings;
  }

  /** For how long syncs and video were unknown or undriven while they were watched, in femtoseconds. */
  get unknownFs(): { readonly sync: number; readonly video: number } {
    const { sync, video } = this.unknownOnRecord();
    return { sync: this.forgottenUnknown.sync + sync, video: this.forgottenUnknown.video + video };
  }

  /** What went down the cable in the last whole frame. */
  get record(): ScreenRecord {
    const { machine, nets } = this;
    const recording = this.begun();
    const hsync = tapeOf(recording, nets.hsync);
    const vsync = nets.vsync === nets.hsync ? hsync : tapeOf(recording, nets.vsync);
    return { hsync, vsync, video: videoNets(nets).map((net) => tapeOf(recording, net)), until: longFs(machine.now) };
  }

  /** The machine was put into another state. */
  restart(): void {
    [this.recording, this.state] = [undefined, undefined];
  }

  /** Runs until the next frame is whole, and says what the monitor shows of it. */
  runFrame(): NoPicture | Shown {
    // From power-up, counters may have to come round once before the first sync is in its place.
    const most = this.state === undefined ? 1 + MORE_AT_FIRST : 1;
    let seen = this.runOn();
    for (let frames = 1; frames < most && !seen.locked; frames++) seen = this.runOn();
    return seen;
  }

  private runOn(): NoPicture | Shown {
    this.machine.run(longFs(this.nextEnd(this.begun())));
    this.forget();
    return this.see();
  }

  /** Runs for a while, and says what the monitor shows: the last whole frame. Nothing before the first one is over. */
  runFor(timeFs: number): NoPicture | Shown | undefined {
    const { machine } = this;
    const end = this.nextEnd(this.begun());
    machine.run(longFs(machine.now + timeFs));
    if (machine.now < end) return this.state;
    this.forget();
    return this.see();
  }

  /** Looks at the last whole frame as one who switches the monitor on: where the picture stands as well. */
  lookAnew(): NoPicture | Shown {
    this.settled = undefined;
    return this.see();
  }

  /** The last whole frame, and over it what the beam has drawn of the next. */
  pictureSoFar(): Picture | undefined {
    const { state } = this;
    if (!state?.locked) return state?.unheld?.picture;
    const picture: Picture = { ...state.picture, dots: state.picture.dots.slice() };
    const { raster } = state.against;
    const { v } = state.lock;
    // Its end is where the monitor's own oscillators would have it.
    const begin = v.leadingFs.at(-1) ?? this.machine.now;
    const leadingFs = Float64Array.from({ length: fieldsPerFrame(raster) + 1 }, (_, field) => begin + field * v.period);
    const ahead = { ...state.lock, v: { ...v, leadingFs } };
    this.paint(scanFrame(ahead, raster, 0), state.displacement, picture);
    return picture;
  }

  private begun(): Recording {
    return (this.recording ??= this.machine.record());
  }

  private measure(): Lock | { readonly locked: false } {
    const recording = this.begun();
    const { hsync, vsync } = this.nets;
    const first = recording.waveOf(hsync);
    return lock(hsync === vsync ? { composite: first } : { hsync: first, vsync: recording.waveOf(vsync) });
  }

  private see(): NoPicture | Shown {
    const { settled, settings } = this;
    const measured = settled && this.measure();
    if (!settled || !measured?.locked || !isLike(measured, settled.lock)) return this.lookAtAll();
    const { raster } = settled.against;
    const frames = countFrames(measured, raster);
    if (frames === 0) return this.state ?? this.lookAtAll();
    const picture = blackPicture(raster.h.active, raster.v.active, settled.picture.depth);
    this.paint(scanFrame(measured, raster, settings.frame ?? frames - 1), settled.displacement, picture);
    return (this.state = { ...settled, lock: measured, picture });
  }

  private lookAtAll(): NoPicture | Shown {
    const seen = watch(signalOf(this.record, this.nets).signal, this.settings);
    this.state = seen;
    this.settled = seen.locked && seen.lit ? seen : undefined;
    return seen;
  }

  /** Takes the level of every dot in its middle, as far as the beam has come. */
  private paint({ lines, raster, dotFs, firstDot }: Scan, displacement: Displacement, picture: Picture): void {
    const { machine } = this;
    const recording = this.begun();
    const { width, height, dots } = picture;
    const nets = videoNets(this.nets);
    // A net that carries several colours is looked at once.
    const readers = [...new Set(nets)].map((net) => ({
      reader: recording.reader(net),
      weight: nets.reduce((sum, one, index) => sum + (one === net ? 1 << (nets.length - 1 - index) : 0), 0),
    }));
    if (width !== raster.h.active) throw new RangeError(`a picture of ${width} dots on a raster of ${raster.h.active}`);
    for (const { row: rasterRow, startFs } of lines) {
      const row = rasterRow - displacement.rows;
      if (row < 0 || row >= height) continue;
      const middle = startFs + (firstDot + displacement.dots + 0.5) * dotFs;
      const count = Math.min(width, Math.floor((machine.now - middle) / dotFs) + 1);
      if (count <= 0) break;
      dots.fill(0, row * width, row * width + count);
      for (const { reader, weight } of readers) reader.addLevels(middle, dotFs, count, dots, row * width, weight);
    }
  }

  private get fieldTime(): number {
    const { raster } = this.settings;
    return 1e15 / (raster ? inHertz(fieldRate(raster)) : SLOWEST_FIELD_RATE);
  }

  /** When the next frame is whole, and the vertical sync behind it over; later than now. */
  private nextEnd(recording: Recording): number {
    const { state, machine, settings } = this;
    const fields = fieldsOf(settings);
    if (!state) return Math.max(machine.now + 1, recording.from + PATIENCE * (fields + 1) * this.fieldTime);
    if (!state.locked) return machine.now + PATIENCE * fields * this.fieldTime;
    const { period, width, leadingFs } = state.lock.v;
    const shown = fieldsPerFrame(state.against.raster);
    const room = 2 * width + LEAD_IN * period;
    let end = (leadingFs.at(-1) ?? machine.now) + shown * period + room;
    // Single steps may have gone on from there.
    while (end <= machine.now) end += shown * period;
    return end;
  }

  /** Keeps what the next frame begins with. */
  private forget(): void {
    const recording = this.begun();
    const { state, machine } = this;
    const before = this.unknownOnRecord();
    if (state?.locked) {
      recording.forget((state.lock.v.leadingFs.at(-1) ?? 0) - LEAD_IN * state.lock.v.period);
    } else {
      recording.forget(machine.now - 3 * fieldsOf(this.settings) * this.fieldTime);
    }
    const after = this.unknownOnRecord();
    this.forgottenUnknown.sync += before.sync - after.sync;
    this.forgottenUnknown.video += before.video - after.video;
  }

  private unknownOnRecord(): { readonly sync: number; readonly video: number } {
    const recording = this.begun();
    const { now } = this.machine;
    const sum = (nets: Iterable<PictureNets["hsync"]>) => {
      let total = 0;
      for (const net of nets) total += recording.unknownFs(net, now);
      return total;
    };
    return { sync: sum(new Set([this.nets.hsync, this.nets.vsync])), video: sum(videoNets(this.nets)) };
  }
}

function fieldsOf({ raster }: MonitorSettings): number {
  return raster ? fieldsPerFrame(raster) : 1;
}

/** Whether a monitor that has locked to the one goes on as it does with the other. */
function isLike(one: Lock, other: Lock): boolean {
  const isNear = (a: number, b: number) => Math.abs(a - b) <= SAME_RATE * Math.abs(b);
  return (
    isNear(one.lineRateHz, other.lineRateHz) &&
    isNear(one.fieldRateHz, other.fieldRateHz) &&
    one.linesPerField === other.linesPerField &&
    one.h.polarity === other.h.polarity &&
    one.v.polarity === other.v.polarity &&
    isNear(one.h.width, other.h.width) &&
    isNear(one.v.width, other.v.width) &&
    Math.abs(one.vSyncLag - other.vSyncLag) <= SAME_LAG &&
    one.oddLines.length === other.oddLines.length
  );
}
