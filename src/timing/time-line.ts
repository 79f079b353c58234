import type { Fs, Range } from "../quantity/index.js";
import { Causes } from "./causes.js";
import type { DelayVariable } from "./delay-variable.js";
import { IntTable } from "./int-table.js";
import type { Moment } from "./moment.js";
import { type HandOver, type PathId, Paths } from "./paths.js";
import { FIRST_OUTSIDE_ROOT, OSCILLATOR_FALL, OSCILLATOR_RISE, type Root, isOneOutside } from "./roots.js";

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
  readonly #paths = new Paths();
  readonly #causes: Causes;
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
    this.#causes = new Causes(this.#paths, this, options.keepsTicksApart ?? false);
  }

  get variables(): readonly DelayVariable[] {
    return this.#paths.variables;
  }

  get #outsideStepTicks(): number {
    return this.#options.outsideStepTicks ?? 1;
  }

  /** How many differences of two chains were worked out. */
  get differencesFound(): number {
    return this.#bounds.length;
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

  /** Adds a variable and gives it its number. */
  variable(variable: Omit<DelayVariable, "id">): DelayVariable {
    return this.#paths.variable(variable);
  }

  /** The path that is the root alone. */
  root(root: Root): PathId {
    return this.#paths.root(root);
  }

  /** The path one variable longer. */
  extend(path: PathId, variable: DelayVariable): PathId {
    return this.#paths.extend(path, variable);
  }

  rootOf(path: PathId): Root {
    return this.#paths.at(path).root;
  }

  /** The variable that ends a path; undefined for a root alone. */
  last(path: PathId): DelayVariable | undefined {
    return this.#paths.last(path);
  }

  /** The variables of a path from its root onwards. */
  chain(path: PathId): readonly DelayVariable[] {
    return this.#paths.chain(path);
  }

  /** Adds moments to a list of which the earliest counts; those that another of them never comes after are left out. */
  addEarly(list: Moment[], more: readonly Moment[]): void {
    this.#causes.addEarly(list, more);
  }

  /** Adds moments to a list of which the latest counts; those that never come after another of them are left out. */
  addLate(list: Moment[], more: readonly Moment[]): void {
    this.#causes.addLate(list, more);
  }

  /** Those moments that end with an output beginning or giving up to drive. */
  handOvers(moments: readonly Moment[], which?: HandOver): Moment[] {
    return this.#causes.handOvers(moments, which);
  }

  /** See `Causes.overtaking`. */
  overtaking(takes: readonly Moment[], shown: readonly Moment[], latest: readonly Moment[]): Moment[] {
    return this.#causes.overtaking(takes, shown, latest);
  }

  /** Earliest time of a moment after the oscillator's rise in the present tick, in fs. */
  earliest(moment: Moment): number {
    const path = this.#paths.at(moment.path);
    return Math.floor(this.#periods(moment.tick, path.root, "min")) + path.min;
  }

  /** Latest time of a moment after the oscillator's rise in the present tick, in fs. */
  latest(moment: Moment): number {
    const path = this.#paths.at(moment.path);
    return Math.ceil(this.#periods(moment.tick, path.root, "max")) + path.max;
  }

  /** When the first of these moments comes at the earliest, in fs. */
  beginOf(early: readonly Moment[]): number {
    return Math.min(...early.map((moment) => this.earliest(moment)));
  }

  /** When the last of these moments comes at the latest, in fs. */
  endOf(late: readonly Moment[]): number {
    return Math.max(...late.map((moment) => this.latest(moment)));
  }

  /** Time of a moment at typical delays, mean period and mean duty; only ever used to tell what a builder intends. */
  typical(moment: Moment): number {
    const path = this.#paths.at(moment.path);
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
      for (let at = this.#paths.at(id); at.length > shared; at = this.#paths.at(at.parent)) {
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
      if (this.#paths.at(a).length >= this.#paths.at(b).length) {
        if (this.#paths.at(a).length === 0) return 0;
        a = this.#paths.at(a).parent;
      } else b = this.#paths.at(b).parent;
    }
    let shared = this.#paths.at(a).length;
    for (let at = this.#paths.at(a); at.length > 0; at = this.#paths.at(at.parent)) {
      if (this.variables[at.variable]?.value === "none") shared = at.length - 1;
    }
    return shared;
  }

  /** Bounds of the time between two roots. Roots of the same outside edge are the same instant. */
  #rootGap(earlier: Moment, later: Moment, end: "min" | "max"): number {
    const from = this.#paths.at(earlier.path).root;
    const to = this.#paths.at(later.path).root;
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
