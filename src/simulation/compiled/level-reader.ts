import type { EdgeTimes, RecordedPart, RoundsPart, Track } from "./recording.js";

/** Where a level lies that is the same in every round, or is the one from before the round. */
const [LOW, HIGH, BEFORE] = [-1, -2, -3];

/** Phases that are nearer, in periods, are the same: a double's last places differ from line to line. */
const SAME_PHASE = 1e-4;

/** Where a row of dots finds its levels in the record, from the round on in which it begins. */
interface Glance {
  readonly phase: number;
  /** Periods from dot to dot. */
  readonly pace: number;
  readonly count: number;
  readonly offsets: Int32Array;
  readonly shifts: Uint8Array;
  readonly ands: Uint8Array;
  readonly ors: Uint8Array;
  readonly lastRound: number;
}

/** Reads the level of one net out of a recording, at times that never fall: where dots are looked at, not at every change. */
export class LevelReader {
  private readonly parts: readonly RecordedPart[];
  private readonly track: Track;
  private readonly index: number;
  private readonly clock: EdgeTimes;
  private part = -1;
  private level: 0 | 1;
  /** When the next part begins. */
  private until: number;
  /** Of the part that is being read: the next of its changes, or where the level after each edge of a round lies. */
  private nextChange = 0;
  private places: Int32Array = new Int32Array();
  private glance: Glance | undefined;

  /** `index` is the place of the track among all that are recorded, `first` its level before the first part. */
  constructor(parts: readonly RecordedPart[], track: Track, index: number, first: 0 | 1, clock: EdgeTimes) {
    this.parts = parts;
    this.track = track;
    this.index = index;
    this.clock = clock;
    this.level = first;
    this.until = this.beginOf(0);
  }

  /** Adds `weight` to so many values from `at` on wherever the net is high: the first at `time`, each next a step later. */
  addLevels(time: number, step: number, count: number, values: Uint16Array, at: number, weight: number): void {
    let dot = 0;
    while (dot < count) {
      while (time + dot * step >= this.until) this.takeNextPart();
      const end = Math.min(count, Math.max(dot + 1, Math.ceil((this.until - time) / step)));
      const part = this.parts[this.part];
      if (part?.kind === "rounds") this.addFromRounds(part, time, step, dot, end, values, at, weight);
      else {
        for (let one = dot; one < end; one++) {
          if (this.levelAmongChanges(time + one * step) === 1) values[at + one] = (values[at + one] as number) | weight;
        }
      }
      dot = end;
    }
  }

  /** The dots from one on up to another; see `addLevels`. */
  private addFromRounds(
    part: RoundsPart,
    time: number,
    step: number,
    from: number,
    to: number,
    values: Uint16Array,
    at: number,
    weight: number,
  ): void {
    const { clock } = this;
    const { form, edges, firstEdge, count, bytes } = part;
    const { period } = clock;
    // In periods from the rise at or before the first edge.
    const odd = firstEdge & 1;
    const begin = (time + from * step - clock.timeOf(firstEdge - odd)) / period;
    const round = Math.floor((2 * Math.floor(begin) - odd) / edges);
    const phase = begin - (round * edges) / 2;
    const glance = this.glanceFor(part, phase, step / period, to - from);
    const { offsets, shifts, ands, ors, lastRound } = glance;
    // In the first round a level may still be that from before it, and behind the last one it stays as it is.
    const isWithin = round >= 1 && round + lastRound < count;
    const base = round * (form.bits / 8);
    for (let dot = from; dot < to; dot++) {
      const place = dot - from;
      const isHigh = isWithin
        ? (((bytes[base + (offsets[place] as number)] as number) >> (shifts[place] as number)) &
            (ands[place] as number)) |
          (ors[place] as number)
        : this.levelAtPeriods(part, phase + (round * edges) / 2 + (place * step) / period);
      if (isHigh === 1) values[at + dot] = (values[at + dot] as number) | weight;
    }
  }

  /** The level so many periods after the rise at or before a part's first edge. */
  private levelAtPeriods({ form, edges, firstEdge, count, bytes }: RoundsPart, periods: number): number {
    const { places, clock } = this;
    const whole = Math.floor(periods);
    const edge = 2 * whole + (periods - whole >= clock.high / clock.period ? 1 : 0) - (firstEdge & 1);
    let round = Math.min(count - 1, Math.floor(edge / edges));
    let place = places[Math.min(edges - 1, edge - round * edges)] as number;
    if (place === BEFORE) {
      round--;
      place = places[edges - 1] as number;
    }
    if (place === BEFORE || round < 0) return this.level;
    if (place < 0) return place === HIGH ? 1 : 0;
    return ((bytes[round * (form.bits / 8) + (place >> 3)] as number) >> (place & 7)) & 1;
  }

  /** Where dots find their levels that begin so many periods after the begin of a round: the same for line after line. */
  private glanceFor({ form, edges, firstEdge }: RoundsPart, phase: number, pace: number, count: number): Glance {
    const known = this.glance;
    if (known && known.count >= count && known.pace === pace && Math.abs(known.phase - phase) < SAME_PHASE)
      return known;
    const { places, clock, level } = this;
    const [offsets, shifts] = [new Int32Array(count), new Uint8Array(count)];
    const [ands, ors] = [new Uint8Array(count), new Uint8Array(count)];
    let lastRound = 0;
    for (let dot = 0; dot < count; dot++) {
      const periods = phase + dot * pace;
      const whole = Math.floor(periods);
      const edge = 2 * whole + (periods - whole >= clock.high / clock.period ? 1 : 0) - (firstEdge & 1);
      let round = Math.floor(edge / edges);
      lastRound = Math.max(lastRound, round);
      let place = places[edge - round * edges] as number;
      if (place === BEFORE) {
        round--;
        place = places[edges - 1] as number;
      }
      if (place >= 0) {
        offsets[dot] = round * (form.bits / 8) + (place >> 3);
        shifts[dot] = place & 7;
        ands[dot] = 1;
      } else ors[dot] = place === HIGH || (place === BEFORE && level === 1) ? 1 : 0;
    }
    return (this.glance = { phase, pace, count, offsets, shifts, ands, ors, lastRound });
  }

  private levelAmongChanges(time: number): 0 | 1 {
    const part = this.parts[this.part];
    if (part?.kind !== "changes") return this.level;
    while (this.nextChange < part.times.length && (part.times[this.nextChange] as number) <= time) {
      if (part.tracks[this.nextChange] === this.track) this.level = part.levels[this.nextChange] as 0 | 1;
      this.nextChange++;
    }
    return this.level;
  }

  private takeNextPart(): void {
    const over = this.parts[this.part];
    if (over?.kind === "changes") this.levelAmongChanges(Infinity);
    if (over?.kind === "rounds") this.level = this.levelAfter(over);
    const part = this.parts[++this.part];
    this.until = this.beginOf(this.part + 1);
    this.nextChange = 0;
    this.glance = undefined;
    if (part?.kind === "rounds") this.places = this.placesOf(part);
  }

  private levelAfter({ form, count, bytes }: RoundsPart): 0 | 1 {
    const place = form.lastPlaces[this.index] ?? -1;
    if (place === -1) return this.level;
    if (place < 0) return place === -3 ? 1 : 0;
    const at = (count - 1) * (form.bits / 8);
    return (((bytes[at + (place >> 3)] as number) >> (place & 7)) & 1) as 0 | 1;
  }

  private beginOf(index: number): number {
    const part = this.parts[index];
    if (!part) return Infinity;
    return part.kind === "changes" ? (part.times[0] ?? Infinity) : this.clock.timeOf(part.firstEdge);
  }

  /** Of each edge of a round: the place in its record of the net's level after it. */
  private placesOf({ form, edges }: RoundsPart): Int32Array {
    const places = new Int32Array(edges).fill(BEFORE);
    for (const { track, step, place } of form.samples) {
      if (track === this.track) places.fill(place === "low" ? LOW : place === "high" ? HIGH : place, step);
    }
    return places;
  }
}
