import type { Feed } from "./feed.js";
import { runHalf } from "./half-period.js";
import type { PlayedNets } from "./half-period.js";
import { LaneUnit } from "./lane-unit.js";
import type { LogicNetId, LogicSection, LogicView } from "./logic-view.js";
import { TooManyToFollow } from "./not-followed.js";
import { OutsideWays } from "./outside-ways.js";

/** Bits of a group all of whose states are followed. */
const MOST_GROUP_BITS = 16;
/** States of a group with those of the signals that it follows. */
const MOST_GROUP_STATES = 1 << 20;
/** More plays than a few signals and guessed nets have. */
const MOST_PLAYS = 65_536;
/** States that are taken a period further, all together, and for how many of them working out a table counts. */
const MOST_STEPS = 1 << 26;
const TABLE_STEPS = 1 << 11;

/**
 * What a group of sections does in a period, whatever comes from outside. A state is that of the sections and, above it, that
 * of the signals.
 */
export class GroupStep {
  readonly unit: LaneUnit;
  readonly stateCount: number;
  /** The start of the proof: storage low, all quiet outside for long. */
  readonly quiet: number;
  readonly #ways: OutsideWays;
  readonly #played: PlayedNets;
  readonly #writes: readonly LogicNetId[];
  readonly #sectionStates: number;
  #steps = 0;
  readonly #tables = new Map<number, { readonly next: Int32Array; readonly writes: Uint8Array }>();

  /** `writes`: nets that are high while a memory is written. Throws TooManyToFollow. */
  constructor(view: LogicView, sections: readonly LogicSection[], played: PlayedNets, writes: readonly LogicNetId[]) {
    this.unit = new LaneUnit(view, sections);
    this.#ways = new OutsideWays(played.signals, played.guessed.length);
    this.#played = played;
    this.#writes = writes;
    const { length: bits } = this.unit.bits;
    this.#sectionStates = 2 ** bits;
    this.stateCount = this.#sectionStates * this.#ways.stateCount;
    this.quiet = this.#sectionStates * this.#ways.quiet;
    if (bits > MOST_GROUP_BITS || this.stateCount > MOST_GROUP_STATES) {
      throw new TooManyToFollow(`${bits} bits that follow signals from outside`);
    }
  }

  /** Every state of the sections, with every state of the signals that keeps their least times. */
  all(): Float64Array {
    const kept = this.#ways.kept();
    const sections = this.#sectionStates;
    return Float64Array.from({ length: kept.length * sections }, (_, index) => {
      return (index % sections) + (kept[Math.floor(index / sections)] ?? 0) * sections;
    });
  }

  /** Of a state, that of the sections. */
  sectionState(state: number): number {
    return state % this.#sectionStates;
  }

  /** All states that some states can become; `isQuiet`: no edge comes from outside. `feed` has its own number. */
  period(
    states: Float64Array,
    feed: Feed,
    feedId: number,
    isQuiet: boolean,
  ): { readonly after: Float64Array; readonly writes: boolean } {
    this.#steps += states.length + this.stateCount / 16;
    if (this.#steps > MOST_STEPS) throw new TooManyToFollow("signals from outside that lead to too many states");
    const found = new Uint8Array(this.stateCount);
    let writes = 0;
    for (const state of states) {
      const section = state % this.#sectionStates;
      const signals = Math.floor(state / this.#sectionStates);
      for (const first of this.#ways.ways(signals, isQuiet)) {
        for (const second of this.#ways.ways(first.state, isQuiet)) {
          const table = this.#table(feed, feedId, first.play, second.play);
          writes |= table.writes[section] as number;
          found[(table.next[section] as number) + this.#ways.aged(second.state) * this.#sectionStates] = 1;
        }
      }
    }
    const after = new Float64Array(found.reduce((sum, one) => sum + one, 0));
    let kept = 0;
    for (let state = 0; state < found.length; state++) if (found[state] === 1) after[kept++] = state;
    return { after, writes: writes === 1 };
  }

  /** Where each state of the sections goes under two plays, and whether it writes on the way. */
  #table({ levels, halves }: Feed, feedId: number, firstPlay: number, secondPlay: number) {
    const key = (feedId * MOST_PLAYS + firstPlay) * MOST_PLAYS + secondPlay;
    const known = this.#tables.get(key);
    if (known) return known;
    this.#steps += TABLE_STEPS + this.#sectionStates;
    const next = Int32Array.from({ length: this.#sectionStates }, (_, state) => state);
    const writes = new Uint8Array(this.#sectionStates);
    const middle = new Map(levels);
    for (const { net, level } of halves[0]) middle.set(net, level);
    const looked = () => this.#noteWrites(writes);
    [
      { play: this.#ways.plays[firstPlay], before: levels, changes: halves[0] },
      { play: this.#ways.plays[secondPlay], before: middle, changes: halves[1] },
    ].forEach(({ play, before, changes }) => {
      if (!play) return;
      const feed = { level: (net: LogicNetId) => before.get(net) ?? 0, changes };
      runHalf(this.unit, next, feed, this.#played, play, looked);
      this.unit.states(next);
    });
    if (this.unit.isUnsettled) throw new TooManyToFollow("it does not come to rest");
    const made = { next, writes };
    this.#tables.set(key, made);
    return made;
  }

  #noteWrites(writes: Uint8Array): void {
    for (const net of this.#writes) {
      const lanes = this.unit.levels(net);
      if (!lanes) continue;
      for (let lane = 0; lane < writes.length; lane++) {
        if (((lanes[lane >> 5] as number) >>> (lane & 31)) & 1) writes[lane] = 1;
      }
    }
  }
}
