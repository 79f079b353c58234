import { fs } from "../quantity/index.js";
import { type HandOver, type PathId, type Paths } from "./paths.js";
import type { Moment } from "./moment.js";

/** A change with more moments than this gets fewer, wider ones. */
const MOST_MOMENTS = 64;
/** Beginnings of chains that are kept apart then. */
const MOST_BEGINNINGS = 24;

/** How two moments lie to each other and to the present tick. */
export interface Gaps {
  leastGap(earlier: Moment, later: Moment): number;
  mostGap(earlier: Moment, later: Moment): number;
  earliest(moment: Moment): number;
}

/** Lists of the ways in which a change can come about, of which the earliest or the latest counts. */
export class Causes {
  readonly #paths: Paths;
  readonly #gaps: Gaps;
  /** Keeps causes of different ticks though one covers the other. */
  readonly #keepsTicksApart: boolean;
  readonly #ways = new Map<string, PathId>();
  /** Variables that stand for several arcs one after the other. */
  readonly #joinedWays = new Set<number>();

  constructor(paths: Paths, gaps: Gaps, keepsTicksApart: boolean) {
    this.#paths = paths;
    this.#gaps = gaps;
    this.#keepsTicksApart = keepsTicksApart;
  }

  /** Adds moments to a list of which the earliest counts; those that another of them never comes after are left out. */
  addEarly(list: Moment[], more: readonly Moment[]): void {
    for (const moment of more) this.#add(list, moment, (one, other) => this.#neverAfter(one, other, "tailMin"));
  }

  /** Adds moments to a list of which the latest counts; those that never come after another of them are left out. */
  addLate(list: Moment[], more: readonly Moment[]): void {
    for (const moment of more) this.#add(list, moment, (one, other) => this.#neverAfter(other, one, "tailMax"));
  }

  #add(list: Moment[], moment: Moment, covers: (one: Moment, other: Moment) => boolean): void {
    for (const { path, tick } of list) if (path === moment.path && tick === moment.tick) return;
    const { handsOver } = this.#paths.at(moment.path);
    // Which release is meant for which taking is told by their ticks, and which change of data may overtake it.
    const keepsApart =
      this.#keepsTicksApart ||
      handsOver !== undefined ||
      list.some(({ path }) => this.#paths.at(path).handsOver !== undefined);
    const isAlike = ({ path, tick }: Moment) =>
      this.#paths.at(path).handsOver === handsOver && (tick === moment.tick || !keepsApart);
    for (const other of list) if (isAlike(other) && covers(other, moment)) return;
    let kept = 0;
    for (const other of list) if (!isAlike(other) || !covers(moment, other)) list[kept++] = other;
    list.length = kept;
    list.push(moment);
    if (list.length > MOST_MOMENTS) list.splice(0, list.length, ...this.#joined(list));
  }

  /**
   * Fewer moments that bound the same change: where chains part after a common beginning, what follows is taken as one delay
   * of its own, from the shortest to the longest of them, which cancels with nothing. Wider, never narrower.
   */
  #joined(list: readonly Moment[]): Moment[] {
    let groups = new Map<string, Moment[]>();
    for (let depth = 0; ; depth++) {
      const next = new Map<string, Moment[]>();
      for (const moment of list) {
        const key = `${moment.tick} ${this.#paths.beginning(moment.path, depth)} ${this.#paths.at(moment.path).handsOver}`;
        next.set(key, [...(next.get(key) ?? []), moment]);
      }
      if (depth > 0 && (next.size > MOST_BEGINNINGS || next.size === list.length)) break;
      const isDone = list.every(({ path }) => this.#paths.at(path).length <= depth);
      groups = new Map([...next].map(([key, moments]) => [`${depth} ${key}`, moments]));
      if (isDone) break;
    }
    return [...groups].flatMap(([key, moments]) => {
      const [first, second] = moments;
      if (!first || !second) return first ? [first] : [];
      return [{ path: this.#severalWays(moments, Number(key.split(" ")[0])), tick: first.tick }];
    });
  }

  /** The path of the common beginning, and one delay for all the ways in which it goes on. */
  #severalWays(moments: readonly Moment[], depth: number): PathId {
    const [first] = moments;
    const start = this.#paths.beginning(first?.path ?? 0, depth);
    const { min: before, max: beforeMost } = this.#paths.at(start);
    const paths = moments.map(({ path }) => this.#paths.at(path));
    const min = fs(Math.min(...paths.map((path) => path.min)) - before);
    const max = fs(Math.max(...paths.map((path) => path.max)) - beforeMost);
    const longest = moments.reduce((a, b) => (this.#paths.at(b.path).max > this.#paths.at(a.path).max ? b : a));
    const key = `${start} ${min} ${max} ${this.#paths.last(longest.path)?.id}`;
    const known = this.#ways.get(key);
    if (known !== undefined) return known;
    const [opening] = this.#paths.chain(longest.path).slice(this.#paths.at(start).length);
    const last = this.#paths.last(longest.path);
    if (!last || !opening) return first?.path ?? 0;
    const variable = this.#paths.variable({
      ...last,
      min,
      typical: fs(Math.round((min + max) / 2)),
      max,
      label: `${opening.label} and on to ${last.chip} ${last.to} by one of several ways`,
      isPrivate: true,
      value: "none",
    });
    const id = this.#paths.extend(start, variable);
    this.#joinedWays.add(variable.id);
    this.#ways.set(key, id);
    return id;
  }

  /** Whether `one` is not after `other` whatever the delays; private variables, which nothing shares, at one of their ends. */
  #neverAfter(one: Moment, other: Moment, tail: "tailMin" | "tailMax"): boolean {
    const [a, b] = [this.#paths.at(one.path), this.#paths.at(other.path)];
    const gap = this.#gaps.leastGap({ path: a.trunk, tick: one.tick }, { path: b.trunk, tick: other.tick });
    return gap + b[tail] - a[tail] >= 0;
  }

  /** Those moments that end with an output beginning or giving up to drive. */
  handOvers(moments: readonly Moment[], which?: HandOver): Moment[] {
    return moments.filter(({ path }) => {
      const { handsOver } = this.#paths.at(path);
      return which ? handsOver === which : handsOver !== undefined;
    });
  }

  /**
   * Moments before which an output cannot begin to drive, where a change of what it shows comes at its inputs after the
   * enable and is through before it: the output then begins with that change, which waits for both. `takes` and `shown` are
   * early moments of the enable and of such changes, `latest` late moments of these; none where the output lets go before
   * it has settled, so that nothing says when they are over.
   */
  overtaking(takes: readonly Moment[], shown: readonly Moment[], latest: readonly Moment[]): Moment[] {
    return takes.flatMap((take) => {
      const enabled = this.#cause(take);
      if (latest.length > 0 && !latest.some((late) => this.#gaps.mostGap(enabled, this.#cause(late)) >= 0)) return [];
      return shown.map((one) => {
        const last = this.#paths.last(one.path);
        if (!last || this.#joinedWays.has(last.id)) return one;
        const fromEnable = { path: this.#paths.extend(enabled.path, last), tick: enabled.tick };
        return this.#gaps.earliest(one) >= this.#gaps.earliest(fromEnable) ? one : fromEnable;
      });
    });
  }

  /** The moment before the last step of a chain: when its cause comes, or where a chain is a root alone itself. */
  #cause({ path, tick }: Moment): Moment {
    const { parent } = this.#paths.at(path);
    return { path: parent < 0 ? path : parent, tick };
  }
}
