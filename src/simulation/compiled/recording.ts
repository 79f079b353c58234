import type { Waveform } from "../../raster/index.js";
import { LevelReader } from "./level-reader.js";
import type { RecordForm } from "./round-code.js";
import type { NetId } from "../../circuit/circuit.js";
import type { Signal } from "./structure.js";

/** When the edges of an oscillator come, counted from power-up, in femtoseconds. */
export interface EdgeTimes {
  timeOf(edge: number): number;
  /** Edges that have come at a time, those at it included. */
  edgesUpTo(time: number): number;
  /** From rise to rise, and from rise to fall, in femtoseconds. */
  readonly period: number;
  readonly high: number;
}

/** Rounds one after the other, as their code has left them on record; the bytes are a store that grows. */
export interface RoundsPart {
  readonly kind: "rounds";
  readonly form: RecordForm;
  readonly edges: number;
  firstEdge: number;
  count: number;
  bytes: Uint8Array;
}

/** Changes one by one. */
export interface ChangesPart {
  readonly kind: "changes";
  readonly times: number[];
  readonly tracks: Track[];
  readonly levels: number[];
}

export type RecordedPart = RoundsPart | ChangesPart;

/**
 * What is recorded: the level of a net, an unknown one counting as low, by the net's number; and whether it is known, by the
 * number's complement.
 */
export type Track = number;

/** The tracks of some nets: first their levels, then whether these are known. */
export function tracksOf(nets: readonly Signal[]): readonly Track[] {
  return [...nets, ...nets.map((net) => ~net)];
}

/** What some nets did. */
export class Recording {
  readonly nets: readonly NetId[];
  private readonly tracks: readonly Track[];
  private begin: number;
  private readonly first: (0 | 1)[];
  private readonly clock: EdgeTimes;
  private readonly last: (0 | 1)[];
  private readonly parts: RecordedPart[] = [];

  constructor(nets: readonly NetId[], from: number, levelOf: (track: Track) => 0 | 1, clock: EdgeTimes) {
    this.nets = nets;
    this.begin = from;
    this.tracks = tracksOf(nets);
    this.first = this.tracks.map(levelOf);
    this.clock = clock;
    this.last = [...this.first];
  }

  /** When it begins, in femtoseconds. */
  get from(): number {
    return this.begin;
  }

  /** Looks at all tracks after a step at this time. */
  look(time: number, levelOf: (track: Track) => 0 | 1): void {
    for (let index = 0; index < this.tracks.length; index++) {
      const track = this.tracks[index] as Track;
      const level = levelOf(track);
      if (level === this.last[index]) continue;
      this.last[index] = level;
      this.addChange(time, track, level);
    }
  }

  private addChange(time: number, track: Track, level: 0 | 1): void {
    let part = this.parts.at(-1);
    if (part?.kind !== "changes") this.parts.push((part = { kind: "changes", times: [], tracks: [], levels: [] }));
    part.times.push(time);
    part.tracks.push(track);
    part.levels.push(level);
  }

  /** So many rounds that begin at this edge; their record lies from `at` on. */
  addRounds(form: RecordForm, edges: number, firstEdge: number, count: number, memory: Uint8Array, at: number): void {
    const perRound = form.bits / 8;
    let part = this.parts.at(-1);
    if (part?.kind !== "rounds" || part.form !== form || part.firstEdge + part.count * edges !== firstEdge) {
      part = { kind: "rounds", form, edges, firstEdge, count: 0, bytes: new Uint8Array(FEWEST_ROUNDS * perRound) };
      this.parts.push(part);
    }
    const [from, size] = [part.count * perRound, count * perRound];
    if (from + size > part.bytes.length) {
      const larger = new Uint8Array(Math.max(2 * part.bytes.length, from + size));
      larger.set(part.bytes);
      part.bytes = larger;
    }
    const { bytes } = part;
    if (size > FEW_BYTES) bytes.set(memory.subarray(at, at + size), from);
    else for (let byte = 0; byte < size; byte++) bytes[from + byte] = memory[at + byte] as number;
    part.count += count;

    levelsAfterRound(form, memory, at + size - perRound, this.last);
  }

  /** Lets the record begin at a time, or a little before it. */
  forget(time: number): void {
    const { parts, first } = this;
    for (let part = parts[0]; part; part = parts[0]) {
      const whole = part.kind === "rounds" ? this.forgetRounds(part, time) : this.forgetChanges(part, time);
      if (!whole) break;
      parts.shift();
    }
    // Nothing is left before the time but what a round that goes on then begins with.
    const [next] = parts;
    const begins = next?.kind === "rounds" ? this.clock.timeOf(next.firstEdge) : Infinity;
    this.begin = Math.max(this.begin, Math.min(time, begins));
    if (parts.length === 0) first.splice(0, first.length, ...this.last);
  }

  /** Whether all rounds of a part were over at a time; those that were are forgotten. */
  private forgetRounds(part: RoundsPart, time: number): boolean {
    const { form, edges, firstEdge, bytes } = part;
    const perRound = form.bits / 8;
    const over = Math.min(part.count, Math.floor((this.clock.edgesUpTo(time) - firstEdge) / edges));
    if (over <= 0) return false;
    levelsAfterRound(form, bytes, (over - 1) * perRound, this.first);
    bytes.copyWithin(0, over * perRound, part.count * perRound);
    part.firstEdge += over * edges;
    part.count -= over;
    return part.count === 0;
  }

  private forgetChanges({ times, tracks, levels }: ChangesPart, time: number): boolean {
    const later = times.findIndex((one) => one > time);
    const over = later < 0 ? times.length : later;
    for (let index = 0; index < over; index++) {
      this.first[this.tracks.indexOf(tracks[index] as Track)] = levels[index] as 0 | 1;
    }
    for (const list of [times, tracks, levels]) list.splice(0, over);
    return times.length === 0;
  }

  /** The levels of a net at times that never fall. */
  reader(net: NetId): LevelReader {
    const first = this.first[this.tracks.indexOf(net)];
    if (first === undefined) throw new RangeError(`net ${net} is not recorded`);
    return new LevelReader(this.parts, net, this.tracks.indexOf(net), first, this.clock);
  }

  /** What a net did, as a monitor takes it. Throws RangeError when it is not on record. */
  waveOf(net: NetId): Waveform {
    return this.follow(net);
  }

  /** Whether a net was known: high where it was, low where it was unknown or undriven. */
  knownOf(net: NetId): Waveform {
    return this.follow(~net);
  }

  /** For how long up to this time a net was unknown or undriven, in femtoseconds. */
  unknownFs(net: NetId, until: number): number {
    const { initial, timesFs } = this.knownOf(net);
    let [unknown, since, isKnown] = [0, this.from, initial];
    for (const time of [...timesFs, until]) {
      if (isKnown === 0) unknown += time - since;
      [since, isKnown] = [time, isKnown === 0 ? 1 : 0];
    }
    return unknown;
  }

  private follow(track: Track): Waveform {
    const initial = this.first[this.tracks.indexOf(track)];
    if (initial === undefined) throw new RangeError(`net ${track} is not recorded`);
    const times = new Times();
    let level: number = initial;
    for (const part of this.parts) {
      if (part.kind === "changes") {
        part.tracks.forEach((other, index) => {
          if (other !== track || part.levels[index] === level) return;
          level = part.levels[index] ?? 0;
          times.add(part.times[index] ?? 0);
        });
      } else {
        level = this.addWaves(part, track, level, times);
      }
    }
    return { initial, timesFs: times.all };
  }

  private addWaves(
    { form, edges, firstEdge, count, bytes }: RoundsPart,
    track: Track,
    first: number,
    times: Times,
  ): number {
    const samples = form.samples.filter((sample) => sample.track === track);
    if (samples.length === 0) return first;
    const steps = Int32Array.from(samples, ({ step }) => step);
    const [inByte, shift, given] = [
      new Int32Array(samples.length),
      new Int32Array(samples.length),
      new Int32Array(samples.length),
    ];
    samples.forEach(({ place }, index) => {
      given[index] = place === "low" ? 0 : place === "high" ? 1 : -1;
      if (typeof place !== "number") return;
      inByte[index] = place >> 3;
      shift[index] = place & 7;
    });
    const bytesPerRound = form.bits / 8;
    let level = first;
    for (let round = 0; round < count; round++) {
      const at = round * bytesPerRound;
      for (let index = 0; index < steps.length; index++) {
        const known = given[index] as number;
        const now =
          known >= 0 ? known : ((bytes[at + (inByte[index] as number)] as number) >> (shift[index] as number)) & 1;
        if (now === level) continue;
        level = now;
        times.add(this.clock.timeOf(firstEdge + round * edges + (steps[index] as number)));
      }
    }
    return level;
  }
}

/** Takes over what each track is after a round whose record lies at `at`. */
function levelsAfterRound({ lastPlaces }: RecordForm, bytes: Uint8Array, at: number, levels: (0 | 1)[]): void {
  for (let index = 0; index < levels.length; index++) {
    const place = lastPlaces[index] as number;
    if (place >= 0) levels[index] = (((bytes[at + (place >> 3)] as number) >> (place & 7)) & 1) as 0 | 1;
    else if (place < -1) levels[index] = place === -3 ? 1 : 0;
  }
}

/** Rounds for which there is room at first, and bytes that are copied one by one. */
const FEWEST_ROUNDS = 64;
const FEW_BYTES = 64;

/** Times that are added at the end; the array doubles as it fills. */
class Times {
  private store = new Float64Array(1024);
  private length = 0;

  get all(): Float64Array {
    return this.store.slice(0, this.length);
  }

  add(time: number): void {
    if (this.length === this.store.length) {
      const larger = new Float64Array(2 * this.length);
      larger.set(this.store);
      this.store = larger;
    }
    this.store[this.length++] = time;
  }
}
