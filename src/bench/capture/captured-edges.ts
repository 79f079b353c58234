/** Told each level of a channel as a capture is read: seconds from its begin; undefined where the level is not known. */
export type CaptureListener = (channel: string, seconds: number, level: 0 | 1 | undefined) => void;

/** Edges of one channel: the time of each in seconds, and the level after the first one; levels alternate. */
export interface ChannelEdges {
  readonly times: readonly number[];
  readonly first: 0 | 1;
  /** Level where it has no edge. */
  readonly steady: 0 | 1;
  /** From when on and up to when all of its edges are there, in seconds. */
  readonly from: number;
  readonly until: number;
}

/** Enough for two frames of any sync, and bounded however long a capture is. */
const MOST_EDGES = 30_000;

interface Kept {
  readonly times: number[];
  readonly steady: 0 | 1;
  /** Since when its level is known. */
  readonly from: number;
  level: 0 | 1;
  /** Since when it is not followed any more. */
  ended?: number;
}

/** Keeps the first edges of every channel; what comes after a level that is not known is left out. */
export class FirstEdges {
  private readonly kept = new Map<string, Kept>();
  private readonly most: number;
  private last = 0;
  private smallest = Infinity;

  /** `most`: seconds that are kept. */
  constructor(most: number) {
    this.most = most;
  }

  readonly listen: CaptureListener = (channel, seconds, level) => {
    if (seconds > this.last) this.smallest = Math.min(this.smallest, seconds - this.last);
    this.last = seconds;
    const kept = this.kept.get(channel);
    if (!kept) {
      if (level !== undefined) this.kept.set(channel, { times: [], steady: level, from: seconds, level });
      return;
    }
    if (kept.ended !== undefined || level === kept.level) return;
    if (level === undefined || seconds > this.most || kept.times.length >= MOST_EDGES) kept.ended = seconds;
    else {
      kept.times.push(seconds);
      kept.level = level;
    }
  };

  /** Seconds between the nearest two moments on record. */
  get nearest(): number {
    return this.smallest;
  }

  get channels(): ReadonlyMap<string, ChannelEdges> {
    return new Map(
      [...this.kept].map(([name, { times, steady, from, ended }]) => [
        name,
        { times, steady, first: steady === 1 ? 0 : 1, from, until: Math.min(ended ?? this.last, this.most) },
      ]),
    );
  }
}
