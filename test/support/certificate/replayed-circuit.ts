import type { Change, Edge } from "../../../src/parts/index.js";
import { ns } from "../../../src/quantity/index.js";
import {
  CELL_KINDS,
  CLOCK,
  type CellKind,
  type RacingCell,
  type RacingCircuit,
  delayOf,
  periodsOf,
} from "../racing/random-racing-circuit.js";
import { type Run } from "../waves-run.js";
import { Refused, type Sum, added } from "./shown-by.js";

/** 0, 1, or 2 where nothing drives. */
export type Shown = 0 | 1 | 2;

/** Tells whether one time is before another; of two at once the first where `first`. Throws Refused where it cannot. */
export type Before = (one: Sum, other: Sum, first: boolean) => boolean;

export interface Flank {
  readonly time: Sum;
  readonly before: Shown;
  readonly after: Shown;
}

/** Flanks of an output that may run into each other; earliest and latest in femtoseconds from the rise of a tick. */
export interface Pack {
  readonly tick: number;
  readonly earliest: number;
  readonly latest: number;
  readonly from: Shown;
  readonly to: Shown;
  /** Equal for packs that differ in their ticks only. */
  readonly kind: string;
  readonly isSingle: boolean;
  readonly driver: string;
  flanks(before: Before): readonly Flank[];
}

/** What a pin sees of one driver. */
export interface Seen {
  readonly first: Shown;
  readonly packs: readonly Pack[];
  readonly wire: Sum;
  /** Least and most of the wire. */
  readonly wireLimits: readonly [number, number];
}

const values: Readonly<Record<CellKind, (a: Shown[]) => boolean>> = {
  not: ([a]) => a === 0,
  buffer: ([a]) => a === 1,
  and: ([a, b]) => a === 1 && b === 1,
  nand: ([a, b]) => a !== 1 || b !== 1,
  or: ([a, b]) => a === 1 || b === 1,
  nor: ([a, b]) => a !== 1 && b !== 1,
  xor: ([a, b]) => a !== b,
  choose: ([s, a, b]) => (s === 1 ? b : a) === 1,
  "flip-flop": () => false,
  driver: ([a]) => a === 1,
};

/** Limits of every unknown, in femtoseconds, and the duty in hundredths: all from the circuit itself. */
export class Limits {
  readonly period: readonly [number, number];
  readonly duty: readonly [number, number];
  readonly #racing: RacingCircuit;

  constructor(racing: RacingCircuit) {
    this.#racing = racing;
    this.period = periodsOf(racing);
    this.duty = [Math.round(racing.duty[0] * 100), Math.round(racing.duty[1] * 100)];
  }

  of(name: string): readonly [number, number] {
    if (name === "period") return this.period;
    const [, ref, pin, edge, change] = /^(\w+) (\S+) (rise|fall) to Y (\S+)$/.exec(name) ?? [];
    if (ref && pin && edge && change) {
      const [least, , most] = delayOf(this.#racing, ref, pin, edge as Edge, change as Change);
      return [ns(least), ns(most)];
    }
    if (name.startsWith("wire ")) return [ns(this.#racing.wires[0]), ns(this.#racing.wires[1])];
    throw new Refused(`no such unknown: ${name}`);
  }

  /** Least and most of a sum by the limits alone. */
  ends(sum: Sum): readonly [least: number, most: number] {
    return [this.#end(sum, 1), -this.#end(sum, -1)];
  }

  #end(sum: Sum, sign: 1 | -1): number {
    let total = 0;
    for (const [name, factor] of sum) {
      if (name === "period" || name === "high time") continue;
      const [least, most] = this.of(name);
      total += sign * factor > 0 ? sign * factor * least : sign * factor * most;
    }
    const highs = sign * (sum.get("high time") ?? 0);
    const hundredths = 100 * sign * (sum.get("period") ?? 0) + highs * this.duty[highs > 0 ? 0 : 1];
    return total + (hundredths * this.period[hundredths > 0 ? 0 : 1]) / 100;
  }
}

/** What each output of a racing circuit does, from the model of uncertainty alone: which flanks may run into each other. */
export class ReplayedCircuit {
  readonly racing: RacingCircuit;
  readonly limits: Limits;
  readonly #run: Run;
  readonly #netNames: readonly string[];
  readonly #ticks: number;
  readonly #packs = new Map<string, { readonly first: Shown; readonly packs: readonly Pack[] }>();
  readonly #isSure: (pack: Pack) => boolean;

  /** `run` is a board at typical delays, of whose nets these are the names; `isSure` tells whether a pack has its flanks always. */
  constructor(
    racing: RacingCircuit,
    ticks: number,
    run: Run,
    netNames: readonly string[],
    isSure: (pack: Pack) => boolean,
  ) {
    this.racing = racing;
    this.limits = new Limits(racing);
    this.#ticks = ticks;
    this.#run = run;
    this.#netNames = netNames;
    this.#isSure = isSure;
  }

  cell(ref: string): RacingCell {
    const cell = this.racing.cells.find((one) => one.ref === ref);
    if (!cell) throw new Refused(`no ${ref}`);
    return cell;
  }

  driversOf(net: string): readonly string[] {
    return net === CLOCK ? ["X1"] : this.racing.cells.filter((cell) => cell.net === net).map(({ ref }) => ref);
  }

  seenAt({ ref, feeds }: RacingCell, pin: string): readonly Seen[] {
    return this.driversOf(feeds[pin] ?? "").map((driver): Seen => {
      const name = `wire ${driver} ${driver === "X1" ? "OUT" : "Y"} to ${ref} ${pin}`;
      const [least, most] = this.limits.of(name);
      const wire: Sum = most === 0 ? new Map() : new Map([[name, 1]]);
      return { ...this.output(driver), wire, wireLimits: [least, most] };
    });
  }

  output(ref: string): { readonly first: Shown; readonly packs: readonly Pack[] } {
    const known = this.#packs.get(ref);
    if (known) return known;
    const made = ref === "X1" ? this.#oscillator() : this.#made(this.cell(ref));
    this.#packs.set(ref, made);
    return made;
  }

  isOver(one: Pack, other: Pack): boolean {
    const ticks = other.tick - one.tick;
    return one.latest < other.earliest + ticks * this.limits.period[ticks >= 0 ? 0 : 1];
  }

  #oscillator() {
    const [least, most] = this.limits.period;
    const [low, high] = this.limits.duty;
    const packs = Array.from({ length: this.#ticks }, (_, tick): Pack[] => {
      const rise: Sum = tick === 0 ? new Map() : new Map([["period", tick]]);
      const pack = (time: Sum, from: Shown, to: Shown, earliest: number, latest: number): Pack => ({
        ...{ tick, earliest, latest, from, to, kind: `X1 ${to}`, isSingle: true, driver: "X1 OUT" },
        flanks: () => [{ time, before: from, after: to }],
      });
      return [
        pack(rise, 0, 1, 0, 0),
        pack(
          added(rise, new Map([["high time", 1]])),
          1,
          0,
          Math.floor((low * least) / 100),
          Math.ceil((high * most) / 100),
        ),
      ];
    });
    return { first: 0 as Shown, packs: packs.flat() };
  }

  #made(cell: RacingCell): { readonly first: Shown; readonly packs: readonly Pack[] } {
    if (cell.kind === "flip-flop") return { first: 0, packs: this.#stored(cell) };
    const { pins } = CELL_KINDS[cell.kind];
    const seen = pins.map((pin) => {
      const [only, another] = this.seenAt(cell, pin);
      if (!only || another) throw new Refused("a gate that reads a bus");
      return only;
    });
    const shows = (levels: Shown[]): Shown => {
      if (cell.kind === "driver" && levels[1] !== 0) return 2;
      return values[cell.kind](levels) ? 1 : 0;
    };
    let levels = seen.map(({ first }) => first);
    const first = shows(levels);
    const packs: Pack[] = [];
    for (const group of this.#groups(cell, seen)) {
      const before = levels;
      const own = seen.map((_, pin) => group.flatMap((one) => (one.pin === pin ? [one.pack] : [])));
      levels = levels.map((level, pin) => own[pin]?.at(-1)?.to ?? level);
      const pack = this.#pack(cell, seen, before, levels, own, shows);
      if (pack) packs.push(pack);
    }
    return { first, packs };
  }

  #groups(cell: RacingCell, seen: readonly Seen[]) {
    const [least, most] = this.limits.period;
    const all = seen
      .flatMap(({ packs, wireLimits }, pin) => {
        const [fast, slow] = this.#arcs(cell, pin);
        return packs.map((pack) => {
          const here = { ...pack, earliest: pack.earliest + wireLimits[0], latest: pack.latest + wireLimits[1] };
          return { pin, pack, here, after: { ...here, earliest: here.earliest + fast, latest: here.latest + slow } };
        });
      })
      .sort((a, b) => ((a.here.tick - b.here.tick) * (least + most)) / 2 + a.here.earliest - b.here.earliest);
    const groups: (typeof all)[] = [];
    for (const one of all) {
      const last = groups.at(-1);
      if (last?.some((other) => !this.isOver(other.here, one.here) || !this.isOver(other.after, one.after)))
        last.push(one);
      else groups.push([one]);
    }
    return groups;
  }

  #arcs({ ref, kind }: RacingCell, pin: number): readonly [number, number] {
    const name = CELL_KINDS[kind].pins[pin] ?? "";
    const changes: readonly Change[] =
      kind === "driver" ? ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z"] : ["rise", "fall"];
    const edges: readonly Edge[] = kind === "flip-flop" ? ["rise"] : ["rise", "fall"];
    const limits = edges.flatMap((edge) =>
      changes.map((change) => this.limits.of(`${ref} ${name} ${edge} to Y ${change}`)),
    );
    return [Math.min(...limits.map(([low]) => low)), Math.max(...limits.map(([, high]) => high))];
  }

  #pack(
    cell: RacingCell,
    seen: readonly Seen[],
    before: readonly Shown[],
    after: readonly Shown[],
    own: readonly (readonly Pack[])[],
    shows: (levels: Shown[]) => Shown,
  ): Pack | undefined {
    const [from, to] = [shows([...before]), shows([...after])];
    const reached = own.map((packs, pin): readonly Shown[] => {
      const level = before[pin] ?? 0;
      if (packs.length === 0) return [level];
      return packs.some(({ isSingle }) => !isSingle) ? [0, 1] : [level, ...packs.map((pack) => pack.to)];
    });
    const all = reached.reduce<readonly (readonly Shown[])[]>(
      (lists, levels) => lists.flatMap((list) => levels.map((level) => [...list, level])),
      [[]],
    );
    if (all.every((levels) => shows([...levels]) === from)) return undefined;
    const tick = Math.min(...own.flat().map((pack) => pack.tick));
    let [earliest, latest] = [Infinity, -Infinity];
    own.forEach((packs, pin) => {
      const [fast, slow] = this.#arcs(cell, pin);
      for (const pack of packs) {
        const ticks = pack.tick - tick;
        const [low, high] = seen[pin]?.wireLimits ?? [0, 0];
        earliest = Math.min(earliest, ticks * this.limits.period[0] + pack.earliest + low + fast);
        latest = Math.max(latest, ticks * this.limits.period[1] + pack.latest + high + slow);
      }
    });
    const told = own.map(
      (packs, pin) => `${before[pin]}(${packs.map((one) => `${one.kind}@${one.tick - tick}`).join()})`,
    );
    const isSingle = from !== to && own.flat().length === 1 && own.flat()[0]?.isSingle === true;
    const flanks = (isBefore: Before) => this.#flanks(cell, seen, before, own, shows, isBefore);
    const driver = `${cell.ref} Y`;
    return { tick, earliest, latest, from, to, isSingle, driver, kind: `${cell.ref}[${told.join()}]`, flanks };
  }

  /** The rule for pulses: a flank that would come no later than the one before it goes, and that one with it. */
  #flanks(
    cell: RacingCell,
    seen: readonly Seen[],
    before: readonly Shown[],
    own: readonly (readonly Pack[])[],
    shows: (levels: Shown[]) => Shown,
    isBefore: Before,
  ): readonly Flank[] {
    const coming = own.map((packs, pin) =>
      packs.flatMap((pack) =>
        pack
          .flanks(isBefore)
          .map((flank) => ({ pin, time: added(flank.time, seen[pin]?.wire ?? new Map()), after: flank.after })),
      ),
    );
    const levels = [...before];
    const out: Flank[] = [];
    const base = shows([...levels]);
    while (coming.some((queue) => queue.length > 0)) {
      let first: (typeof coming)[number][number] | undefined;
      for (const [head] of coming) if (head && (!first || !isBefore(first.time, head.time, true))) first = head;
      if (!first) break;
      coming[first.pin]?.shift();
      levels[first.pin] = first.after;
      const shown = shows([...levels]);
      const now = out.at(-1)?.after ?? base;
      if (shown === now) continue;
      const pin = CELL_KINDS[cell.kind].pins[first.pin] ?? "";
      const arc = `${cell.ref} ${pin} ${first.after === 1 ? "rise" : "fall"} to Y ${changeBetween(now, shown)}`;
      const time = added(first.time, new Map([[arc, 1]]));
      for (let last = out.at(-1); last && !isBefore(last.time, time, false); last = out.at(-1)) {
        out.pop();
        if ((out.at(-1)?.after ?? base) === shown) break;
      }
      const left = out.at(-1)?.after ?? base;
      if (left !== shown) out.push({ time, before: left, after: shown });
    }
    return out;
  }

  /** The rises of a flip-flop's clock, and what it takes at each. Throws Refused where one may come or not. */
  captures(cell: RacingCell): readonly { readonly pack: Pack; readonly takes: Shown }[] {
    const [seen, another] = this.seenAt(cell, "CLK");
    if (!seen || another) throw new Refused("a clock of several drivers");
    const found: { pack: Pack; takes: Shown }[] = [];
    let index = 0;
    for (const pack of seen.packs) {
      if (!pack.isSingle && !this.#isSure(pack)) throw new Refused(`a clock that is not sure: ${pack.driver}`);
      if (pack.from === pack.to) continue;
      const at = this.#tape(cell.feeds["CLK"] ?? "").timesFs[index++];
      if (pack.to !== 1) continue;
      if (at === undefined) break;
      const level = this.#tape(cell.feeds["D"] ?? "").valueAt(at - 1);
      if (level > 1) throw new Refused("a level that is not known");
      found.push({ pack, takes: level === 1 ? 1 : 0 });
    }
    return found;
  }

  #tape(net: string) {
    const tape = this.#run.tapes[this.#netNames.indexOf(net)];
    if (!tape) throw new Refused(`no net ${net}`);
    return tape;
  }

  #stored(cell: RacingCell): readonly Pack[] {
    const [seen] = this.seenAt(cell, "CLK");
    if (!seen) throw new Refused("no clock");
    const packs: Pack[] = [];
    let level: Shown = 0;
    for (const { pack, takes } of this.captures(cell)) {
      if (takes === level) continue;
      const [from, to] = [level, takes];
      level = takes;
      const change = to === 1 ? "rise" : "fall";
      const arc = `${cell.ref} CLK rise to Y ${change}`;
      const [fast, slow] = this.limits.of(arc);
      const [low, high] = seen.wireLimits;
      packs.push({
        ...{ tick: pack.tick, earliest: pack.earliest + low + fast, latest: pack.latest + high + slow },
        ...{ from, to, kind: `${cell.ref}${to}(${pack.kind})`, isSingle: true, driver: `${cell.ref} Y` },
        flanks: (isBefore) =>
          pack.flanks(isBefore).map(({ time }) => {
            return { time: added(added(time, seen.wire), new Map([[arc, 1]])), before: from, after: to };
          }),
      });
      const [last, one] = packs.slice(-2);
      if (last && one && !this.isOver(last, one)) throw new Refused("an output that is overtaken");
    }
    return packs;
  }
}

function changeBetween(before: Shown, after: Shown): Change {
  if (before === 2) return after === 1 ? "z-to-high" : "z-to-low";
  if (after === 2) return before === 1 ? "high-to-z" : "low-to-z";
  return after === 1 ? "rise" : "fall";
}
