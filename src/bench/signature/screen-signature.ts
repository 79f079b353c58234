import {
  type Lock,
  type NoLock,
  type Raster,
  type Waveform,
  countFrames,
  lock,
  scanFrame,
} from "../../raster/index.js";
import { WAYS } from "../lanes/group.js";
import type { LaneMachine } from "../lanes/lane-machine.js";
import {
  FIRST_WAY,
  LANES,
  type LaneMask,
  SECOND_WAY,
  clearLane,
  hasLane,
  noLanes,
  setLane,
} from "../lanes/lane-mask.js";
import type { Scenario } from "./scenario.js";
import { CELLS_HIGH, CELLS_WIDE } from "./screen-cells.js";

/** Points that are looked at in each cell, across and down. */
const POINTS = 2;
const [WIDE, HIGH] = [CELLS_WIDE * POINTS, CELLS_HIGH * POINTS];

/** What a monitor makes of a board. */
export type ScreenSignature =
  | { readonly locked: false; readonly reason: NoLock["reason"] }
  | {
      readonly locked: true;
      readonly lineHz: number;
      readonly frameHz: number;
      /** Red, green and blue of each cell, 0 to 255, row by row. */
      readonly cells: Uint8Array;
    };

/** Looks at what the monitor's nets of many boards have done. */
export class Screens {
  private readonly machine: LaneMachine;
  private readonly scenario: Scenario;
  /** Which recorded net carries hsync, vsync, and each of red, green and blue. */
  private readonly nets: { readonly h: number; readonly v: number; readonly colours: readonly number[] };
  /** Of the board without faults, in each way. */
  private readonly usual: { readonly sync: Lock; readonly words: Uint32Array }[] = [];
  private otherSyncs: LaneMask | undefined;
  private readonly waves = new Map<number, readonly (Waveform | undefined)[]>();
  private readonly known = new Map<string, ScreenSignature>();

  constructor(machine: LaneMachine, scenario: Scenario) {
    this.machine = machine;
    this.scenario = scenario;
    const { pins } = machine.group.board;
    const monitors = pins.filter(({ kind }) => kind === "monitor");
    const netOf = (id: number | undefined) => monitors.findIndex(({ node }) => node === id);
    const picture = scenario.circuit.picture;
    const video = picture?.video;
    // Of several bits of a colour the most significant says most.
    const colours =
      video?.kind === "colour" ? [video.red[0], video.green[0], video.blue[0]] : [video?.net, video?.net, video?.net];
    this.nets = { h: netOf(picture?.hsync), v: netOf(picture?.vsync), colours: colours.map(netOf) };
  }

  /** What the monitor shows of one lane. */
  see(lane: number): ScreenSignature | undefined {
    const { raster } = this.scenario;
    if (!raster || this.nets.h < 0) return undefined;
    this.otherSyncs ??= this.findOtherSyncs();
    const way = lane % WAYS;
    if (lane !== way && !hasLane(this.otherSyncs, lane)) {
      const first = this.usual[way] ? undefined : this.see(way);
      const usual = this.usual[way];
      return usual ? this.picture(lane, usual.sync, usual.words) : first;
    }
    const hsync = this.wave(this.nets.h, lane);
    if (!hsync) return { locked: false, reason: "unsteady lines" };
    const vsync = this.wave(this.nets.v, lane);
    if (!vsync) return { locked: false, reason: "unsteady frames" };
    const found = lock(this.nets.h === this.nets.v ? { composite: hsync } : { hsync, vsync });
    if (!found.locked || countFrames(found, raster) === 0) {
      return { locked: false, reason: found.locked ? "record too short" : found.reason };
    }
    const words = this.wordsAt(this.pointsOf(found, raster));
    if (lane === way) this.usual[way] = { sync: found, words };
    return this.picture(lane, found, words);
  }

  /** What all lanes show at each point: of each colour four words. */
  private wordsAt(points: Int32Array): Uint32Array {
    const { words, samples, nets } = this.machine.recorded;
    const found = new Uint32Array(points.length * 12);
    points.forEach((sample, point) => {
      if (sample < 0 || sample >= samples) return;
      this.nets.colours.forEach((net, colour) => {
        const at = (sample * nets + net) * 4;
        if (net >= 0) found.set(words.subarray(at, at + 4), point * 12 + colour * 4);
      });
    });
    return found;
  }

  private picture(lane: number, sync: Lock, words: Uint32Array): ScreenSignature {
    const cells = new Uint8Array(CELLS_WIDE * CELLS_HIGH * 3);
    const step = Math.floor(255 / (POINTS * POINTS));
    const [word, bit] = [lane >> 5, lane & 31];
    for (let y = 0; y < HIGH; y++) {
      for (let x = 0; x < WIDE; x++) {
        const at = (y * WIDE + x) * 12 + word;
        const cell = ((y >> 1) * CELLS_WIDE + (x >> 1)) * 3;
        for (let colour = 0; colour < 3; colour++) {
          const level = ((words[at + 4 * colour] ?? 0) >>> bit) & 1;
          cells[cell + colour] = (cells[cell + colour] ?? 0) + level * step;
        }
      }
    }
    const seen: ScreenSignature = { locked: true, lineHz: sync.lineRateHz, frameHz: sync.fieldRateHz, cells };
    // Many boards show the same: one picture is kept of them.
    const key = `${sync.lineRateHz.toFixed(0)} ${sync.fieldRateHz.toFixed(2)} ${hashOf(cells)}`;
    const known = this.known.get(key);
    if (known) return known;
    this.known.set(key, seen);
    return seen;
  }

  /** The sample that shows each point of the picture. */
  private pointsOf(sync: Lock, raster: Raster): Int32Array {
    const { displacement, edgeFs } = this.scenario;
    const points = new Int32Array(WIDE * HIGH).fill(-1);
    const scan = scanFrame(sync, raster, countFrames(sync, raster) - 1);
    const lineOf = new Map(scan.lines.map((line) => [line.row - displacement.rows, line.startFs]));
    for (let y = 0; y < HIGH; y++) {
      const start = lineOf.get(Math.floor(((y + 0.5) * raster.v.active) / HIGH));
      if (start === undefined) continue;
      for (let x = 0; x < WIDE; x++) {
        const dot = scan.firstDot + displacement.dots + ((x + 0.5) * raster.h.active) / WIDE;
        points[y * WIDE + x] = Math.floor((start + dot * scan.dotFs) / (2 * edgeFs));
      }
    }
    return points;
  }

  /** Lanes whose syncs are not those of the board without faults. */
  private findOtherSyncs(): LaneMask {
    const { words, samples, nets } = this.machine.recorded;
    const others = noLanes();
    let [a, b, c, d] = [0, 0, 0, 0];
    for (const net of new Set([this.nets.h, this.nets.v])) {
      for (let at = net * 4; at < samples * nets * 4; at += nets * 4) {
        const first = words[at] ?? 0;
        const all = (first & 1 ? FIRST_WAY : 0) | (first & 2 ? SECOND_WAY : 0);
        a |= first ^ all;
        b |= (words[at + 1] ?? 0) ^ all;
        c |= (words[at + 2] ?? 0) ^ all;
        d |= (words[at + 3] ?? 0) ^ all;
      }
    }
    others.set([a, b, c, d]);
    return others;
  }

  /** What a sync net of a lane has done; undefined where it changes far too often for a sync. */
  private wave(net: number, lane: number): Waveform | undefined {
    const known = this.waves.get(net) ?? this.findWaves(net);
    this.waves.set(net, known);
    return known[lane];
  }

  /** Goes once through all samples of a net, for all lanes whose syncs have to be looked at. */
  private findWaves(net: number): readonly (Waveform | undefined)[] {
    const { words, samples, nets } = this.machine.recorded;
    const { edgeFs, raster } = this.scenario;
    const most = MOST_PULSES * 2 * (raster ? raster.v.total : 1);
    const wanted = (this.otherSyncs ?? noLanes()).slice();
    for (let way = 0; way < WAYS; way++) setLane(wanted, way);
    const times = Array.from({ length: LANES }, (): number[] => []);
    const first = words.slice(net * 4, net * 4 + 4);
    const last = first.slice();
    const stride = nets * 4;
    for (let sample = 1, at = net * 4 + stride; sample < samples; sample++, at += stride) {
      for (let word = 0; word < 4; word++) {
        const now = words[at + word] ?? 0;
        let changed = (now ^ (last[word] ?? 0)) & (wanted[word] ?? 0);
        if (changed === 0) continue;
        last[word] = now;
        for (; changed !== 0; changed &= changed - 1) {
          const lane = 32 * word + 31 - Math.clz32(changed & -changed);
          if ((times[lane]?.push(Math.round(sample * 2 * edgeFs)) ?? 0) > most) clearLane(wanted, lane);
        }
      }
    }
    return times.map((own, lane) =>
      hasLane(wanted, lane) ? { initial: hasLane(first, lane) ? 1 : 0, timesFs: Float64Array.from(own) } : undefined,
    );
  }
}

/** Pulses for each line of the raster in what is on record: more are no sync. */
const MOST_PULSES = 20;

/** FNV-1a of bytes, for telling equal pictures. */
export function hashOf(bytes: Uint8Array): string {
  let [a, b] = [0x811c9dc5, 0x01234567];
  for (const byte of bytes) {
    a = Math.imul(a ^ byte, 0x01000193);
    b = Math.imul(b ^ byte, 0x85ebca6b) ^ (b >>> 13);
  }
  return `${(a >>> 0).toString(16)}${(b >>> 0).toString(16)}`;
}
