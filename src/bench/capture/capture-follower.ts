import type { CaptureListener, ChannelEdges } from "./captured-edges.js";
import type { CyclicWave } from "./frame-model.js";
import {
  type Alignment,
  type Departure,
  type MatchedEdges,
  type Tolerances,
  matchEdges,
  withoutGlitches,
} from "./match-edges.js";

/** What is followed: the nets by the names of their channels, and how they lie at the begin. */
export interface Followed {
  readonly waves: ReadonlyMap<string, CyclicWave>;
  readonly cycle: number;
  readonly alignment: Alignment;
  readonly tolerances: Tolerances;
}

/** How a channel goes with the model all along. */
export interface FollowedChannel {
  readonly matched: number;
  readonly departed: number;
  /** The first departures, with where the capture lay then: enough to tell an edge that moved. */
  readonly first: readonly Departure[];
  readonly alignment: Alignment;
}

/** Of the model's cycle: how much is compared at a time. */
const STEP = 0.25;
/** Edges of a channel in a step: it ends early where there are so many. */
const MOST_EDGES = 20_000;

interface Kept {
  level: 0 | 1 | undefined;
  /** Edges of the step and of what stood beside its begin; seconds. */
  times: number[];
  /** Level before the first of them. */
  steady: 0 | 1;
  /** Since when its level is known without a gap. */
  from: number;
  matched: number;
  departed: number;
  first: Departure[];
  alignment: Alignment;
}

/**
 * Holds a whole capture against the model as it is read, a step at a time: where the capture lies is followed as its clock
 * drifts, and nothing is kept of a step that is done.
 */
export class CaptureFollower {
  private readonly followed: Followed;
  private readonly channels = new Map<string, Kept>();
  private alignment: Alignment;
  /** Seconds at which the step begins. */
  private begin = 0;
  private last = 0;
  /** Up to when edges have told where the capture lies. */
  private followedAt = 0;
  private slowest = Infinity;
  private fastest = -Infinity;

  constructor(followed: Followed) {
    this.followed = followed;
    this.alignment = followed.alignment;
  }

  readonly listen: CaptureListener = (channel, seconds, level) => {
    if (!this.followed.waves.has(channel)) return;
    this.last = Math.max(this.last, seconds);
    while (seconds > this.begin + this.step + this.margin) this.finishStep(this.begin + this.step);
    let kept = this.channels.get(channel);
    if (!kept) {
      kept = {
        level: undefined,
        times: [],
        steady: 0,
        from: seconds,
        matched: 0,
        departed: 0,
        first: [],
        alignment: this.alignment,
      };
      this.channels.set(channel, kept);
    }
    if (level === kept.level) return;
    if (level === undefined || kept.level === undefined) {
      // Nothing is said of what surrounds a gap.
      kept.times = [];
      kept.steady = level ?? 0;
      kept.from = level === undefined ? Infinity : seconds;
    } else {
      kept.times.push(seconds);
      if (kept.times.length >= MOST_EDGES && seconds > this.begin + 2 * this.margin) {
        kept.level = level;
        this.finishStep(seconds - this.margin);
      }
    }
    kept.level = level;
  };

  /** What came of it up to the end of the capture. */
  end(): ReadonlyMap<string, FollowedChannel> {
    while (this.last > this.begin) this.finishStep(Math.min(this.begin + this.step, this.last));
    return this.channels;
  }

  /** Seconds that were compared. */
  get seconds(): number {
    return this.begin;
  }

  /** By how much the capture's clock ran slower and faster than at the begin, as shares. */
  get drift(): readonly [least: number, most: number] {
    const { scale } = this.followed.alignment;
    return this.fastest < this.slowest ? [0, 0] : [this.slowest / scale - 1, this.fastest / scale - 1];
  }

  private get step(): number {
    return (STEP * this.followed.cycle) / this.alignment.scale;
  }

  /** Seconds beside a step whose edges count for its pulses, but not for themselves. */
  private get margin(): number {
    const { edge, pulse } = this.followed.tolerances;
    return (4 * (edge + pulse)) / this.alignment.scale;
  }

  private finishStep(end: number): void {
    const { waves, cycle, tolerances } = this.followed;
    const nets = [...this.channels].flatMap(([name, kept]) => {
      const wave = waves.get(name);
      if (!wave || kept.level === undefined) return [];
      const { times, steady, from } = kept;
      const edges: ChannelEdges = {
        times,
        steady,
        first: steady === 1 ? 0 : 1,
        from,
        until: Math.min(this.last, end + this.margin),
      };
      return [{ kept, wave, edges: withoutGlitches(edges, wave, cycle, this.alignment.scale, tolerances.pulse) }];
    });
    const matchAll = () => nets.map((net) => matchEdges(net.edges, net.wave, cycle, this.alignment, tolerances));
    const inStep = (time: number) => {
      const { offset, scale } = this.alignment;
      return time >= offset + scale * this.begin && time < offset + scale * end;
    };
    this.follow(
      matchAll().flatMap(({ matched }) => matched.filter(({ model }) => inStep(model))),
      end,
    );
    const found = matchAll();
    nets.forEach(({ kept }, index) => {
      const { matched = [], departures = [] } = found[index] ?? {};
      const own = departures.filter(({ time }) => inStep(time));
      kept.matched += matched.filter(({ model }) => inStep(model)).length;
      kept.departed += own.length;
      if (kept.first.length > 0) return;
      kept.first = own.slice(0, 2);
      kept.alignment = this.alignment;
    });
    this.begin = end;
    this.forget(end - this.margin);
  }

  /** Moves the capture by what its edges in the step are off on the mean, and its clock by a part of that. */
  private follow(matched: MatchedEdges["matched"], end: number): void {
    if (matched.length === 0) return;
    const { offset, scale } = this.alignment;
    const shift =
      matched.reduce((sum, { seconds, model }) => sum + model - offset - scale * seconds, 0) / matched.length;
    const own = scale + (CLOCK_SHARE * shift) / (end - this.followedAt);
    this.followedAt = end;
    this.slowest = Math.min(this.slowest, own);
    this.fastest = Math.max(this.fastest, own);
    this.alignment = { scale: own, offset: offset + shift + (scale - own) * end };
  }

  private forget(until: number): void {
    for (const kept of this.channels.values()) {
      const gone = kept.times.findIndex((time) => time >= until);
      const count = gone < 0 ? kept.times.length : gone;
      if (count % 2 === 1) kept.steady = kept.steady === 1 ? 0 : 1;
      kept.times = kept.times.slice(count);
      if (kept.from < until) kept.from = until;
    }
  }
}

/** How much of the clock that a step's shift amounts to is taken over: single samples hardly turn it. Our own choice. */
const CLOCK_SHARE = 0.2;
