import { type Fs, type Range, fs } from "../quantity/index.js";
import type { Edge } from "../parts/index.js";
import type { DelayVariable } from "./delay-variable.js";
import { IntTable } from "./int-table.js";

/**
 * Where the time of an edge starts: the rise or the fall of the oscillator in a tick, or an outside edge (numbered from 2)
 * that comes anywhere within a tick.
 */
export type Root = number;
export const OSCILLATOR_RISE: Root = 0;
export const OSCILLATOR_FALL: Root = 1;
export const FIRST_OUTSIDE_ROOT: Root = 2;

/** Index of a path in the time line: a root followed by the delays of a chain of arcs and wires. */
export type PathId = number;

/** The time of one possible cause of an edge: a path that starts `tick` oscillator periods from now (0 now, -1 the last). */
export interface Moment {
  readonly path: PathId;
  readonly tick: number;
}

interface Path {
  readonly root: Root;
  readonly parent: PathId;
  readonly variable: number;
  readonly min: number;
  readonly typical: number;
  readonly max: number;
  readonly length: number;
  /** The path up to the first private variable, and the sums of what follows. */
  readonly trunk: PathId;
  readonly tailMin: number;
  readonly tailMax: number;
  /** Whether the last step is an output that begins or gives up driving. */
  readonly handsOver: HandOver | undefined;
}

/** A change with more moments than this gets fewer, wider ones. */
const MOST_MOMENTS = 64;
/** Beginnings of chains that are kept apart then. */
const MOST_BEGINNINGS = 24;

/** An output begins to drive, or lets go. */
export type HandOver = "takes" | "releases";

function handOverOf({ change }: Omit<DelayVariable, "id">): HandOver | undefined {
  if (!change?.includes("z")) return undefined;
  return change.startsWith("z") ? "takes" : "releases";
}

/** The two roots of the outside signal of that number: its rise and its fall. */
export function outsideRoot(outside: number, edge: Edge): Root {
  return FIRST_OUTSIDE_ROOT + 2 * outside + (edge === "fall" ? 1 : 0);
}

/** The number of the outside signal that a root is an edge of; negative for the oscillator's. */
export function outsideOf(root: Root): number {
  return (root - FIRST_OUTSIDE_ROOT) >> 1;
}

/** Whether two roots are edges of one outside signal. */
function isOneOutside(a: Root, b: Root): boolean {
  return a >= FIRST_OUTSIDE_ROOT && b >= FIRST_OUTSIDE_ROOT && a >> 1 === b >> 1;
}

export interface TimeLineOptions {
  /** An outside edge comes within so many ticks of its tick; 1 by default. */
  readonly outsideStepTicks?: number;
  /** Keeps causes of different ticks though one covers the other: which edges of a change are meant for which capture. */
  readonly keepsTicksApart?: boolean;
}

/**
 * All times of the proof as sums of unknown constants. Two times are compared by the bounds of their difference, in which
 * what both share cancels: the same arc, the same oscillator edge. Every bound is rounded outwards to a whole femtosecond.
 */
export class TimeLine {
  readonly period: Range<Fs>;
  readonly duty: Range;
  readonly variables: DelayVariable[] = [];
  readonly #paths: Path[] = [];
  readonly #extended = new IntTable();
  readonly #roots = new Map<Root, PathId>();
  readonly #ways = new Map<string, PathId>();
  /** Variables that stand for several arcs one after the other. */
  readonly #joinedWays = new Set<number>();
  /** Of moments that start in one tick, and of others. */
  readonly #differences = new IntTable();
  readonly #differencesApart = new IntTable();
  readonly #bounds: { readonly min: number; readonly max: number }[] = [];

  /** How often a difference of two chains was looked up. */
  differencesKnown = 0;

  /** Least time from one outside edge to a later one of the same signal, as the file states it. */
  readonly #outsideGaps = new Map<number, number>();
  readonly #options: TimeLineOptions;

  /** `period` in femtoseconds, `duty` as high time over period, 0 to 1. */
  constructor(period: Range<Fs>, duty: Range, options: TimeLineOptions = {}) {
    this.#options = options;
    this.period = period;
    this.duty = duty;
  }

  get #outsideStepTicks(): number {
    return this.#options.outsideStepTicks ?? 1;
  }

  /** How many differences of two chains were worked out. */
  get differencesFound(): number {
    return this.#bounds.length;
  }

  /** Adds a variable and gives it its number. */
  variable(variable: Omit<DelayVariable, "id">): DelayVariable {
    const numbered = { ...variable, id: this.variables.length };
    this.variables.push(numbered);
    return numbered;
  }

  /** States the least time from an edge of an outside signal to a later one of the same signal. */
  stateOutsideGap(from: Root, to: Root, least: Fs): void {
    this.#outsideGaps.set(from * 65_536 + to, least);
  }

  /** Whether two moments start from edges that know nothing of each other: one of them outside, and not of one signal. */
  isUnrelated(a: Moment, b: Moment): boolean {
    const from = this.rootOf(a.path);
    const to = this.rootOf(b.path);
    return (from >= FIRST_OUTSIDE_ROOT || to >= FIRST_OUTSIDE_ROOT) && !isOneOutside(from, to);
  }

  /** The path that is the root alone. */
  root(root: Root): PathId {
    const known = this.#roots.get(root);
    if (known !== undefined) return known;
    const id =
      this.#paths.push({
        root,
        parent: -1,
        variable: -1,
        min: 0,
        typical: 0,
        max: 0,
        length: 0,
        trunk: this.#paths.length,
        tailMin: 0,
        tailMax: 0,
        handsOver: undefined,
      }) - 1;
    this.#roots.set(root, id);
    return id;
  }

  /** The path one variable longer. */
  extend(path: PathId, variable: DelayVariable): PathId {
    const known = this.#extended.get(path, variable.id);
    if (known >= 0) return known;
    const from = this.#path(path);
    const id =
      this.#paths.push({
        root: from.root,
        parent: path,
        variable: variable.id,
        min: from.min + variable.min,
        typical: from.typical + variable.typical,
        max: from.max + variable.max,
        length: from.length + 1,
        trunk: variable.isPrivate ? from.trunk : this.#paths.length,
        tailMin: variable.isPrivate ? from.tailMin + variable.min : 0,
        tailMax: variable.isPrivate ? from.tailMax + variable.max : 0,
        handsOver: handOverOf(variable),
      }) - 1;
    this.#extended.add(path, variable.id, id);
    return id;
  }

  rootOf(path: PathId): Root {
    return this.#path(path).root;
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
    const { handsOver } = this.#path(moment.path);
    const { keepsTicksApart } = this.#options;
    const isAlike = ({ path, tick }: Moment) =>
      this.#path(path).handsOver === handsOver && (tick === moment.tick || !keepsTicksApart);
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
        const key = `${moment.tick} ${this.#beginning(moment.path, depth)} ${this.#path(moment.path).handsOver}`;
        next.set(key, [...(next.get(key) ?? []), moment]);
      }
      if (depth > 0 && (next.size > MOST_BEGINNINGS || next.size === list.length)) break;
      const isDone = list.every(({ path }) => this.#path(path).length <= depth);
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
    const start = this.#beginning(first?.path ?? 0, depth);
    const { min: before, max: beforeMost } = this.#path(start);
    const paths = moments.map(({ path }) => this.#path(path));
    const min = fs(Math.min(...paths.map((path) => path.min)) - before);
    const max = fs(Math.max(...paths.map((path) => path.max)) - beforeMost);
    const longest = moments.reduce((a, b) => (this.#path(b.path).max > this.#path(a.path).max ? b : a));
    const key = `${start} ${min} ${max} ${this.last(longest.path)?.id}`;
    const known = this.#ways.get(key);
    if (known !== undefined) return known;
    const [opening] = this.chain(longest.path).slice(this.#path(start).length);
    const last = this.last(longest.path);
    if (!last || !opening) return first?.path ?? 0;
    const variable = this.variable({
      ...last,
      min,
      typical: fs(Math.round((min + max) / 2)),
      max,
      label: `${opening.label} and on to ${last.chip} ${last.to} by one of several ways`,
      isPrivate: true,
      value: "none",
    });
    const id = this.extend(start, variable);
    this.#joinedWays.add(variable.id);
    this.#ways.set(key, id);
    return id;
  }

  /** The path of the first `depth` variables. */
  #beginning(path: PathId, depth: number): PathId {
    let id = path;
    for (let at = this.#path(id); at.length > depth; at = this.#path(id)) id = at.parent;
    return id;
  }

  /** Whether `one` is not after `other` whatever the delays; private variables, which nothing shares, at one of their ends. */
  #neverAfter(one: Moment, other: Moment, tail: "tailMin" | "tailMax"): boolean {
    const [a, b] = [this.#path(one.path), this.#path(other.path)];
    const gap = this.leastGap({ path: a.trunk, tick: one.tick }, { path: b.trunk, tick: other.tick });
    return gap + b[tail] - a[tail] >= 0;
  }

  /** Those moments that end with an output beginning or giving up to drive. */
  handOvers(moments: readonly Moment[], which?: HandOver): Moment[] {
    return moments.filter(({ path }) => {
      const { handsOver } = this.#path(path);
      return which ? handsOver === which : handsOver !== undefined;
    });
  }

  /**
   * Moments before which an output cannot begin to drive, where a change of what it shows comes at its inputs after the
   * enable and is through before it: the output then begins with that change, which waits for both. `takes` and `shown` are
   * early moments of the enable and of such changes, `latest` late moments of these.
   */
  overtaking(takes: readonly Moment[], shown: readonly Moment[], latest: readonly Moment[]): Moment[] {
    return takes.flatMap((take) => {
      const enabled = this.#cause(take);
      if (!latest.some((late) => this.mostGap(enabled, this.#cause(late)) >= 0)) return [];
      return shown.map((one) => {
        const last = this.last(one.path);
        if (!last || this.#joinedWays.has(last.id)) return one;
        const fromEnable = { path: this.extend(enabled.path, last), tick: enabled.tick };
        return this.earliest(one) >= this.earliest(fromEnable) ? one : fromEnable;
      });
    });
  }

  /** The moment before the last step of a chain: when its cause comes, or where a chain is a root alone itself. */
  #cause({ path, tick }: Moment): Moment {
    const { parent } = this.#path(path);
    return { path: parent < 0 ? path : parent, tick };
  }

  /** The variable that ends a path; undefined for a root alone. */
  last(path: PathId): DelayVariable | undefined {
    return this.variables[this.#path(path).variable];
  }

  /** The variables of a path from its root onwards. */
  chain(path: PathId): readonly DelayVariable[] {
    const chain: DelayVariable[] = [];
    for (let at = this.#path(path); at.parent >= 0; at = this.#path(at.parent)) {
      const variable = this.variables[at.variable];
      if (variable) chain.unshift(variable);
    }
    return chain;
  }

  /** Earliest time of a moment after the oscillator's rise in the present tick, in fs. */
  earliest(moment: Moment): number {
    const path = this.#path(moment.path);
    return Math.floor(this.#periods(moment.tick, path.root, "min")) + path.min;
  }

  /** Latest time of a moment after the oscillator's rise in the present tick, in fs. */
  latest(moment: Moment): number {
    const path = this.#path(moment.path);
    return Math.ceil(this.#periods(moment.tick, path.root, "max")) + path.max;
  }

  /** Time of a moment at typical delays, mean period and mean duty; only ever used to tell what a builder intends. */
  typical(moment: Moment): number {
    const path = this.#path(moment.path);
    const share =
      path.root === OSCILLATOR_RISE
        ? 0
        : path.root === OSCILLATOR_FALL
          ? (this.duty.min + this.duty.max) / 2
          : this.#outsideStepTicks / 2;
    return path.typical + (moment.tick + share) * ((this.period.min + this.period.max) / 2);
  }

  /** The least that `later` can come after `earlier`, in fs; negative where it can come first. */
  leastGap(earlier: Moment, later: Moment): number {
    const sum = this.#difference(later, earlier).min;
    return sum + Math.floor(this.#rootGap(earlier, later, "min"));
  }

  /** The most that `later` can come after `earlier`, in fs. */
  mostGap(earlier: Moment, later: Moment): number {
    const sum = this.#difference(later, earlier).max;
    return sum + Math.ceil(this.#rootGap(earlier, later, "max"));
  }

  /** The gap at typical figures. */
  typicalGap(earlier: Moment, later: Moment): number {
    return Math.round(this.typical(later) - this.typical(earlier));
  }

  #path(id: PathId): Path {
    const path = this.#paths[id];
    if (!path) throw new RangeError(`no such path: ${id}`);
    return path;
  }

  /** Bounds of the sum of `a`'s variables less `b`'s, shared ones cancelled. */
  #difference(a: Moment, b: Moment): { readonly min: number; readonly max: number } {
    const differences = a.tick === b.tick ? this.#differences : this.#differencesApart;
    const at = differences.get(a.path, b.path);
    const known = at < 0 ? undefined : this.#bounds[at];
    if (known) {
      this.differencesKnown++;
      return known;
    }
    const shared = a.tick === b.tick ? this.#sharedLength(a.path, b.path) : 0;
    const counts = new Map<number, number>();
    let min = 0;
    let max = 0;
    const add = ({ min: least, max: most }: DelayVariable, times: number) => {
      min += times * (times > 0 ? least : most);
      max += times * (times > 0 ? most : least);
    };
    const count = (id: PathId, by: number) => {
      for (let at = this.#path(id); at.length > shared; at = this.#path(at.parent)) {
        const variable = this.variables[at.variable];
        if (variable?.value === "throughout") counts.set(at.variable, (counts.get(at.variable) ?? 0) + by);
        else if (variable) add(variable, by);
      }
    };
    count(a.path, 1);
    count(b.path, -1);
    for (const [id, times] of counts) {
      const variable = this.variables[id];
      if (variable && times !== 0) add(variable, times);
    }
    const difference = { min, max };
    differences.add(a.path, b.path, this.#bounds.push(difference) - 1);
    return difference;
  }

  /** How many variables two paths begin with that are one event in both; several ways taken as one are no single event. */
  #sharedLength(one: PathId, other: PathId): number {
    let [a, b] = [one, other];
    while (a !== b) {
      if (this.#path(a).length >= this.#path(b).length) {
        if (this.#path(a).length === 0) return 0;
        a = this.#path(a).parent;
      } else b = this.#path(b).parent;
    }
    let shared = this.#path(a).length;
    for (let at = this.#path(a); at.length > 0; at = this.#path(at.parent)) {
      if (this.variables[at.variable]?.value === "none") shared = at.length - 1;
    }
    return shared;
  }

  /** Bounds of the time between two roots. Roots of the same outside edge are the same instant. */
  #rootGap(earlier: Moment, later: Moment, end: "min" | "max"): number {
    const from = this.#path(earlier.path).root;
    const to = this.#path(later.path).root;
    const ticks = later.tick - earlier.tick;
    if (from === to && (from <= OSCILLATOR_FALL || ticks === 0)) return this.#scaled(ticks, ticks, end);
    const low = this.#share(to).min - this.#share(from).max;
    const high = this.#share(to).max - this.#share(from).min;
    const gap = this.#scaled(ticks + low, ticks + high, end);
    const stated =
      end === "min" && ticks > 0 && isOneOutside(from, to) ? this.#outsideGaps.get(from * 65_536 + to) : undefined;
    return Math.max(gap, stated ?? gap);
  }

  #periods(tick: number, root: Root, end: "min" | "max"): number {
    const share = this.#share(root);
    return this.#scaled(tick + share.min, tick + share.max, end);
  }

  /** Where within a tick a root may lie, in periods. */
  #share(root: Root): Range {
    return root === OSCILLATOR_RISE
      ? { min: 0, max: 0 }
      : root === OSCILLATOR_FALL
        ? this.duty
        : { min: 0, max: this.#outsideStepTicks };
  }

  #scaled(low: number, high: number, end: "min" | "max"): number {
    return end === "min"
      ? Math.min(low * this.period.min, low * this.period.max)
      : Math.max(high * this.period.min, high * this.period.max);
  }
}
