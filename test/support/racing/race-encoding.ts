import type { Change, Edge } from "../../../src/parts/index.js";
import { ns } from "../../../src/quantity/index.js";
import type { Tape } from "../../../src/simulation/index.js";
import {
  type Arriving,
  type OrderedCell,
  type Time,
  type Way,
  type Word,
  isSurelyBefore,
  waysOf,
} from "./order-tree.js";
import {
  CELL_KINDS,
  CLOCK,
  type CellKind,
  type RacingCell,
  type RacingCircuit,
  delayOf,
  periodsOf,
} from "./random-racing-circuit.js";
import { type Condition, Definitions, FALSE, TRUE, or, sum, whole } from "./smt.js";

/** An edge that may come on a net, from one driver: those that are present come in order. */
export interface Slot extends Arriving {
  readonly driver: string;
  /** When it begins to drive, and when it lets go. */
  readonly takes: Condition;
  readonly releases: Condition;
}

export interface NetWave {
  readonly first: boolean;
  readonly slots: readonly Slot[];
}

/** Thrown where an edge at a clock or an output enable may come or not, so that nothing behind it can be told. */
export class RaceAtStrobe extends Error {
  readonly ref: string;
  readonly pin: string;
  /** For each such pulse when there is one, and what that rests on. */
  readonly pulses: readonly Condition[];
  readonly definitions: Definitions;

  constructor(ref: string, pin: string, pulses: readonly Condition[], definitions: Definitions) {
    super(`race at ${ref} ${pin}`);
    this.definitions = definitions;
    this.ref = ref;
    this.pin = pin;
    this.pulses = pulses;
  }
}

/** Thrown where what a flip-flop takes at typical delays cannot be told. */
export class NotTold extends Error {}

/** What a board does at typical delays: only which level each flip-flop takes is looked up in it. */
export interface TypicalRun {
  /** First rise of the oscillator. */
  readonly start: number;
  readonly tapes: ReadonlyMap<string, Tape>;
}

const SHOWS: Readonly<Record<CellKind, (levels: readonly boolean[]) => boolean>> = {
  not: ([a]) => !a,
  buffer: ([a]) => a === true,
  and: ([a, b]) => a === true && b === true,
  nand: ([a, b]) => !(a && b),
  or: ([a, b]) => a === true || b === true,
  nor: ([a, b]) => !(a || b),
  xor: ([a, b]) => a !== b,
  choose: ([s, a, b]) => (s ? b : a) === true,
  "flip-flop": () => false,
  driver: ([a]) => a === true,
};

/**
 * Every edge of every net in the first ticks after power-up, as terms over one unknown for each arc and wire, the period and
 * the high time. Written from the model of uncertainty alone: the rule for pulses at each output, whatever order edges come in;
 * a flip-flop takes what it takes at typical delays.
 */
export class RaceEncoding {
  readonly definitions = new Definitions();
  readonly periods: readonly [least: number, most: number];
  readonly waves = new Map<string, NetWave>();
  readonly #racing: RacingCircuit;
  readonly #typical: TypicalRun;
  readonly #period: string;
  readonly #high: string;
  readonly #unknowns = new Map<string, string>();
  /** Pulses that may vanish, by the output. */
  vanishing = 0;

  /** Throws RaceAtStrobe, TooManyWays or NotTold where the circuit is none that can be asked about. */
  constructor(racing: RacingCircuit, ticks: number, typical: TypicalRun) {
    this.#racing = racing;
    this.#typical = typical;
    this.periods = periodsOf(racing);
    this.#period = this.definitions.fresh("p", "Real");
    this.definitions.assert(this.#period, between(this.#period, ...this.periods));
    this.#high = this.definitions.fresh("h", "Real");
    const share = (part: number) => `(* ${Math.round(part * 100)} ${this.#period})`;
    const [least, most] = racing.duty;
    this.definitions.assert(this.#high, `(<= ${share(least)} (* 100 ${this.#high}) ${share(most)})`);
    this.#oscillate(ticks);
    for (const cell of racing.cells) this.#add(cell);
  }

  /** Edges as they arrive at an input pin. */
  atPin({ ref, feeds }: Pick<RacingCell, "ref" | "feeds">, pin: string): readonly Slot[] {
    const net = feeds[pin] ?? "";
    return (this.waves.get(net)?.slots ?? []).map((slot) => {
      const [least, most] = [ns(this.#racing.wires[0]), ns(this.#racing.wires[1])];
      const wire = this.#unknown(`wire ${slot.driver} to ${ref} ${pin}`, least, most);
      return { ...slot, time: later(slot.time, wire, least, most) };
    });
  }

  firstAt({ feeds }: Pick<RacingCell, "feeds">, pin: string): boolean {
    return this.waves.get(feeds[pin] ?? "")?.first ?? false;
  }

  isSurelyBefore(a: Time, b: Time): boolean {
    return isSurelyBefore(a, b, this.periods);
  }

  #unknown(what: string, least: number, most: number): string {
    if (least === most) return whole(least);
    const known = this.#unknowns.get(what) ?? this.definitions.fresh("d", "Real");
    if (!this.#unknowns.has(what)) this.definitions.assert(known, between(known, least, most));
    this.#unknowns.set(what, known);
    return known;
  }

  #oscillate(ticks: number): void {
    const [least, most] = this.periods;
    const [low, high] = this.#racing.duty;
    const slots = Array.from({ length: ticks }, (_, tick) => {
      const rise = tick === 0 ? "0" : `(* ${tick} ${this.#period})`;
      const limits = { least: Math.floor(low * least), most: Math.ceil(high * most) };
      return [
        { term: rise, tick, least: 0, most: 0 },
        { term: sum(rise, this.#high), tick, ...limits },
      ].map((time): Slot => ({ driver: "X1", time, present: TRUE, takes: FALSE, releases: FALSE }));
    });
    this.waves.set(CLOCK, { first: false, slots: slots.flat() });
  }

  #add(cell: RacingCell): void {
    if (cell.kind === "flip-flop") this.waves.set(cell.net, { first: false, slots: this.#stored(cell) });
    else {
      const { pins } = CELL_KINDS[cell.kind];
      if (cell.kind === "driver") this.#sureAt(cell, "OE#");
      const first = pins.map((pin) => this.firstAt(cell, pin));
      const slots = this.#ordered(cell, first);
      const known = this.waves.get(cell.net);
      const all = [...(known?.slots ?? []), ...slots];
      this.waves.set(cell.net, { first: SHOWS[cell.kind](first), slots: all });
    }
  }

  /** The edges at a strobe, each of which must come on every board. */
  #sureAt(cell: RacingCell, pin: string): readonly Slot[] {
    const slots = this.atPin(cell, pin);
    const doubtful = slots.filter(({ present }) => present !== TRUE);
    const pulses = [...new Set(doubtful.map(({ present }) => present))];
    if (pulses.length > 0) throw new RaceAtStrobe(cell.ref, pin, pulses, this.definitions);
    return slots;
  }

  /** The rising edges of a flip-flop's clock, with the level that it takes at each. */
  captures(cell: RacingCell): readonly { readonly time: Time; readonly takes: boolean }[] {
    const slots = this.#sureAt(cell, "CLK");
    const tape = this.#tape(cell.feeds["CLK"] ?? "");
    const first = this.firstAt(cell, "CLK");
    return slots.flatMap(({ time }, index) => {
      if (first === (index % 2 === 0)) return [];
      const at = tape.timesFs[index];
      if (at === undefined) return []; // after the end of the run
      // The wires of clock and data are of the same length at typical delays.
      const data = this.#tape(cell.feeds["D"] ?? "");
      const level = data.valueAt(at - 1);
      // Of an edge that comes with the clock's, as of a clock that is its own data, nobody knows what was meant.
      if (level > 1 || data.valueAt(at) !== level) throw new NotTold();
      return [{ time, takes: level === 1 }];
    });
  }

  #tape(net: string): Tape {
    const tape = this.#typical.tapes.get(net);
    if (!tape) throw new RangeError(`no tape of ${net}`);
    return tape;
  }

  #stored(cell: RacingCell): readonly Slot[] {
    const slots: Slot[] = [];
    let level = false;
    for (const { time, takes } of this.captures(cell)) {
      if (takes === level) continue;
      level = takes;
      const out = this.#delayed(cell, time, "CLK", "rise", takes ? "rise" : "fall");
      const last = slots.at(-1);
      if (last && !this.isSurelyBefore(last.time, out)) throw new NotTold();
      slots.push({ driver: cell.ref, time: out, present: TRUE, takes: FALSE, releases: FALSE });
    }
    return slots;
  }

  #delayed({ ref }: RacingCell, time: Time, pin: string, edge: Edge, change: Change): Time {
    const [least, , most] = delayOf(this.#racing, ref, pin, edge, change);
    const unknown = this.#unknown(`arc ${ref} ${pin} ${edge} ${change}`, ns(least), ns(most));
    return later(time, unknown, ns(least), ns(most));
  }

  /** The edges of a gate's or a driver's output: its input edges in groups of which each is over before the next. */
  #ordered(cell: RacingCell, first: readonly boolean[]): readonly Slot[] {
    const { pins } = CELL_KINDS[cell.kind];
    const ordered: OrderedCell = {
      pins,
      show: (levels): Word => (cell.kind === "driver" && levels[1] ? 2 : SHOWS[cell.kind](levels) ? 1 : 0),
      delayed: (time, pin, edge, change) => this.#delayed(cell, time, pin, edge, change),
    };
    let levels = first;
    const slots: Slot[] = [];
    for (const group of this.#groups(cell)) {
      // Of one pin the edges come in order, though the limits of a later one may begin sooner.
      const arriving = pins.map((pin) =>
        group
          .filter((one) => one.pin === pin)
          .sort((a, b) => a.index - b.index)
          .map(({ slot }) => slot),
      );
      const ways = waysOf(ordered, levels, arriving, this.periods);
      slots.push(...this.#outgoing(cell, ways));
      // A pin's edges that may or may not come do so in pairs, so that its level afterwards is known.
      levels = levels.map((level, pin) => level !== isOdd(arriving[pin], ({ present }) => present === TRUE));
    }
    return slots;
  }

  #groups(cell: RacingCell) {
    const { pins } = CELL_KINDS[cell.kind];
    const [least, most] = [this.periods[0], this.periods[1]];
    const all = pins
      .flatMap((pin) => this.atPin(cell, pin).map((slot, index) => ({ pin, slot, index })))
      .sort((a, b) => startOf(a.slot.time, (least + most) / 2) - startOf(b.slot.time, (least + most) / 2));
    const delays = pins.flatMap((pin) => this.#limitsFrom(cell, pin));
    const [shortest, longest] = [Math.min(...delays), Math.max(...delays)];
    const groups: (typeof all)[] = [];
    for (const one of all) {
      const last = groups.at(-1);
      const isApart = last?.every(({ slot: { time } }) => {
        const out = { ...time, most: time.most + longest - shortest };
        return this.isSurelyBefore(out, one.slot.time);
      });
      const isWhole = (name: string) =>
        !isOdd(
          last?.filter(({ pin }) => pin === name),
          ({ slot }) => slot.present !== TRUE,
        );
      if (!last || (isApart && pins.every(isWhole))) groups.push([one]);
      else last.push(one);
    }
    return groups;
  }

  #limitsFrom({ ref, kind }: RacingCell, pin: string): readonly number[] {
    const changes: readonly Change[] =
      kind === "driver" ? ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z"] : ["rise", "fall"];
    return (["rise", "fall"] as const).flatMap((edge) =>
      changes.flatMap((change) => {
        const [least, , most] = delayOf(this.#racing, ref, pin, edge, change);
        return [ns(least), ns(most)];
      }),
    );
  }

  /** One slot for each edge that any way has. */
  #outgoing({ ref }: RacingCell, ways: readonly Way[]): readonly Slot[] {
    const count = Math.max(...ways.map(({ out }) => out.length));
    const named = ways.map(({ when, out }) => {
      if (ways.length === 1) return { name: TRUE, out };
      const name = this.definitions.fresh("w", "Bool");
      this.definitions.assert(name, `(= ${name} ${when})`);
      return { name, out };
    });
    const fewest = Math.min(...ways.map(({ out }) => out.length));
    if (fewest < count) this.vanishing++;
    return Array.from({ length: count }, (_, index): Slot => {
      const having = named.flatMap(({ name, out }) => {
        const own = out[index];
        return own ? [{ name, own }] : [];
      });
      const [one] = having;
      if (!one) throw new RangeError("no way has this edge");
      const time = this.#oneOf(having.map(({ name, own }) => ({ name, time: own.time })));
      const when = (keep: (change: { before: Word; after: Word }) => boolean) =>
        or(...having.filter(({ own }) => keep(own)).map(({ name }) => name));
      return {
        driver: ref,
        time,
        present: having.length === ways.length ? TRUE : or(...having.map(({ name }) => name)),
        takes: when(({ before }) => before === 2),
        releases: when(({ after }) => after === 2),
      };
    });
  }

  #oneOf(times: readonly { readonly name: Condition; readonly time: Time }[]): Time {
    const [first] = times;
    if (!first) throw new RangeError("no time");
    if (times.length === 1) return first.time;
    const term = this.definitions.fresh("t", "Real");
    for (const { name, time } of times) this.definitions.assert(term, `(=> ${name} (= ${term} ${time.term}))`);
    const { tick } = first.time;
    const [least, most] = this.periods;
    const shift = (time: Time, end: "least" | "most") => {
      const ticks = time.tick - tick;
      return time[end] + ticks * (ticks >= 0 === (end === "least") ? least : most);
    };
    return {
      term,
      tick,
      least: Math.min(...times.map(({ time }) => shift(time, "least"))),
      most: Math.max(...times.map(({ time }) => shift(time, "most"))),
    };
  }
}

function isOdd<T>(list: readonly T[] | undefined, counts: (one: T) => boolean): boolean {
  return (list ?? []).filter(counts).length % 2 === 1;
}

function between(name: string, least: number, most: number): Condition {
  return `(<= ${whole(least)} ${name} ${whole(most)})`;
}

function later(time: Time, delay: string, least: number, most: number): Time {
  return { term: sum(time.term, delay), tick: time.tick, least: time.least + least, most: time.most + most };
}

function startOf({ tick, least }: Time, period: number): number {
  return tick * period + least;
}
