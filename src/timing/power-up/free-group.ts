import type { Circuit } from "../../circuit/index.js";
import type { Fs, Range } from "../../quantity/index.js";
import type { Courses } from "./course.js";
import { GroupStep } from "./group-step.js";
import type { StateBit } from "./lane-unit.js";
import type { LogicNetId, LogicSection, LogicView } from "./logic-view.js";
import { type OutsideSignal, outsideSignal } from "./outside-signal.js";
import { TooManyToFollow } from "./not-followed.js";
import type { Part } from "./parts.js";
import { SetBook, type SetId } from "./set-book.js";
import type { Free } from "./taint.js";

/** Start ticks that are tried where what a group reads repeats late; between them the time is bounded. */
const MOST_START_TICKS = 256;
/** Ticks after which a group that is not in its place is taken to stay away. */
const MOST_AWAY_TICKS = 1 << 20;

/** Control that follows what something outside does, with the signals and the parts that it reads. */
export interface FreeGroup {
  readonly sections: readonly LogicSection[];
  /** The memories whose write hangs on it and on nothing else free. */
  readonly memories: LogicView["memories"];
  readonly signals: readonly OutsideSignal[];
  readonly guessed: readonly LogicNetId[];
  /** A stand-in that reads what the group reads. */
  readonly reading: Part;
}

/** The groups into which control that is free falls apart: what shares a net or a signal from outside stays together. */
export function freeGroups(
  circuit: Circuit,
  view: LogicView,
  free: Free,
  control: Free,
  parts: readonly Part[],
  period: Range<Fs>,
): readonly FreeGroup[] {
  const sections = [...free.sections].filter((section) => control.sections.has(section));
  const leader = new Map<object | number, object | number>();
  const find = (one: object | number): object | number => {
    const up = leader.get(one) ?? one;
    return up === one ? one : find(up);
  };
  for (const section of sections) {
    const ownFree = [...section.reads].filter((net) => free.nets.has(net));
    for (const net of [...ownFree, ...section.outputs.map(({ net }) => net)]) leader.set(find(net), find(section));
  }
  const heaps = new Map<object | number, LogicSection[]>();
  for (const section of sections) heaps.set(find(section), [...(heaps.get(find(section)) ?? []), section]);
  return [...heaps.values()].map((own) => groupOf(own, { circuit, view, free, parts, period }));
}

interface Around {
  readonly circuit: Circuit;
  readonly view: LogicView;
  readonly free: Free;
  readonly parts: readonly Part[];
  readonly period: Range<Fs>;
}

function groupOf(sections: readonly LogicSection[], { circuit, view, free, parts, period }: Around): FreeGroup {
  const driven = new Set(sections.flatMap(({ outputs }) => outputs.map(({ net }) => net)));
  const isOwn = (net: LogicNetId) => driven.has(net) || !free.nets.has(net);
  const memories = view.memories.filter(
    ({ writing: { reads } }) => [...reads].some((net) => driven.has(net)) && [...reads].every(isOwn),
  );
  const all = [...sections, ...memories.map(({ writing }) => writing)];
  const reads = new Set(all.flatMap((section) => [...section.reads].filter((net) => !driven.has(net))));
  const signals: OutsideSignal[] = [];
  const guessed: LogicNetId[] = [];
  for (const net of reads) {
    if (!free.nets.has(net)) continue;
    const timing = circuit.nets[net]?.input?.timing;
    const isSignal = timing?.kind === "any time" && view.nets[net]?.drivers.length === 0;
    if (isSignal) signals.push(outsideSignal(net, timing, period, view.nets[net]?.readers ?? []));
    else guessed.push(net);
  }
  const parents = parts.flatMap((part) => {
    const nets = part.sections.flatMap(({ outputs }) => outputs.flatMap(({ net }) => (reads.has(net) ? [net] : [])));
    return nets.length > 0 ? [{ part, nets: [...new Set(nets)] }] : [];
  });
  const readsOscillator = [...reads].some((net) => view.nets[net]?.isOscillator);
  return {
    sections: all,
    memories,
    signals,
    guessed,
    reading: { index: -1, sections: all, parents, readsOscillator, shown: [], leadsBack: true },
  };
}

/** The states in which the proof finds a group. */
export interface ProvedStates {
  readonly bits: readonly StateBit[];
  /** Of the bits, and above them of the signals from outside; ticks count from the start of the proof. */
  has(tick: number, state: number): boolean;
}

/** Where a group may stand in each tick of what it reads, from the start of the proof; and what it does from any other start. */
export interface FreeStart {
  readonly group: FreeGroup;
  readonly bits: readonly StateBit[];
  /** At most so many oscillator periods until it stands where the proof has been; undefined where it may stay away. */
  readonly ticks: number | undefined;
  /** A state in which it may stay away. */
  readonly away: number | undefined;
  readonly proved: ProvedStates;
  /** Whether a memory may be written although nothing comes from outside, and the last period in which that may be. */
  readonly writes: { readonly untilTick: number | undefined } | undefined;
  /** The last period in which the proof, all being quiet outside, writes a memory, from its start; -1 without any. */
  readonly lastQuietWrite: number;
}

/** Follows a group from the start of the proof and from everywhere else. Throws NotFollowed and TooManyToFollow. */
export function freeStart(courses: Courses, view: LogicView, group: FreeGroup): FreeStart {
  return new GroupRun(courses, view, group).start();
}

/** Gates alone follow what comes from outside at once. */
const holdingNothing: Omit<FreeStart, "group"> = {
  bits: [],
  ticks: 0,
  away: undefined,
  proved: { bits: [], has: () => true },
  writes: undefined,
  lastQuietWrite: -1,
};

class GroupRun {
  readonly #courses: Courses;
  readonly #group: FreeGroup;
  readonly #step: GroupStep;
  readonly #sets = new SetBook();
  readonly #after = new Map<number, SetId>();
  readonly #ticks: number;
  readonly #lead: number;
  readonly #inputs: Int32Array;

  constructor(courses: Courses, view: LogicView, group: FreeGroup) {
    this.#courses = courses;
    this.#group = group;
    const writes = group.memories.flatMap(({ writing }) => writing.outputs.map(({ net }) => net));
    this.#step = new GroupStep(view, group.sections, group, writes);
    const { inputTicks, inputLeadTicks } = courses.inputSpan(group.reading);
    this.#ticks = inputTicks;
    this.#lead = inputLeadTicks;
    this.#inputs = Int32Array.from({ length: inputLeadTicks + inputTicks }, (_, tick) =>
      courses.input(group.reading, tick),
    );
  }

  start(): FreeStart {
    const { bits } = this.#step.unit;
    if (bits.length === 0) return { ...holdingNothing, group: this.#group };
    const { lead, proved } = this.#proved();
    const all = this.#sets.id(this.#step.all());
    const common = {
      group: this.#group,
      bits,
      proved: this.#lookUp(lead, proved),
      writes: this.#writesFrom(all),
      lastQuietWrite: this.#lastQuietWrite(),
    };
    const spacing = Math.ceil(this.#ticks / MOST_START_TICKS);
    let ticks = 0;
    for (let start = 0; start < this.#ticks; start += spacing) {
      const found = this.#awayFrom(start, all, proved);
      if (found.away !== undefined) return { ...common, ticks: undefined, away: found.away };
      ticks = Math.max(ticks, found.ticks + spacing - 1);
    }
    return { ...common, ticks, away: undefined };
  }

  /**
   * All states in which the proof finds the group: in each tick before what it reads repeats, and, sooner or later, in each
   * tick of the repetition.
   */
  #proved(): { readonly lead: Int32Array; readonly proved: Int32Array } {
    let now = this.#sets.id(Float64Array.of(this.#step.quiet));
    const lead = new Int32Array(this.#lead);
    for (let tick = 0; tick < this.#lead; tick++) {
      lead[tick] = now;
      now = this.#next(now, tick);
    }
    const found = new Int32Array(this.#ticks).fill(this.#sets.empty);
    for (let grew = true; grew;) {
      grew = false;
      for (let tick = 0; tick < this.#ticks; tick++) {
        now = this.#sets.union(found[tick] as number, now);
        if (now !== found[tick]) grew = true;
        found[tick] = now;
        now = this.#next(now, this.#lead + tick);
      }
    }
    return { lead, proved: found };
  }

  #lookUp(lead: Int32Array, proved: Int32Array): ProvedStates {
    const members = new Map<SetId, ReadonlySet<number>>();
    return {
      bits: this.#step.unit.bits,
      has: (tick, state) => {
        const id = (tick < this.#lead ? lead[tick] : proved[(tick - this.#lead) % this.#ticks]) ?? this.#sets.empty;
        const known = members.get(id) ?? new Set(this.#sets.set(id));
        members.set(id, known);
        return known.has(state);
      },
    };
  }

  /** How long a start anywhere may stay where the proof has never been. */
  #awayFrom(
    start: number,
    all: SetId,
    proved: Int32Array,
  ): { readonly ticks: number; readonly away: number | undefined } {
    let away = this.#sets.without(all, proved[start] as number);
    const seen = new Set<number>();
    for (let ticks = 0; away !== this.#sets.empty; ticks++) {
      const tick = (start + ticks) % this.#ticks;
      if (tick === start) {
        if (seen.has(away)) return { ticks, away: this.#step.sectionState(this.#sets.set(away)[0] ?? 0) };
        seen.add(away);
      }
      if (ticks > MOST_AWAY_TICKS) throw new TooManyToFollow("it comes to no end");
      const next = this.#next(away, this.#lead + tick);
      away = this.#sets.without(next, proved[(tick + 1) % this.#ticks] as number);
      if (away === this.#sets.empty) return { ticks: ticks + 1, away: undefined };
    }
    return { ticks: 0, away: undefined };
  }

  /** The last period in which the start of the proof leads to a write although all is quiet outside; endless where it goes on. */
  #lastQuietWrite(): number {
    if (this.#group.memories.length === 0) return -1;
    const seen = new Map<number, number>();
    let states = this.#sets.id(Float64Array.of(this.#step.quiet));
    let last = -1;
    for (let ticks = 0; ticks <= MOST_AWAY_TICKS; ticks++) {
      const isRound = ticks >= this.#lead && (ticks - this.#lead) % this.#ticks === 0;
      const before = isRound ? seen.get(states) : undefined;
      if (before !== undefined) return last >= before ? Infinity : last;
      if (isRound) seen.set(states, ticks);
      const tick = ticks < this.#lead ? ticks : this.#lead + ((ticks - this.#lead) % this.#ticks);
      const { after, writes } = this.#period(states, tick, true);
      if (writes) last = ticks;
      states = this.#sets.id(after);
    }
    return Infinity;
  }

  /** Whether a start anywhere may write a memory although all is quiet outside. */
  #writesFrom(all: SetId): FreeStart["writes"] {
    if (this.#group.memories.length === 0) return undefined;
    const seen = new Map<number, number>();
    let states = all;
    let last: number | undefined;
    for (let ticks = 0; ticks <= MOST_AWAY_TICKS; ticks++) {
      const tick = ticks % this.#ticks;
      if (tick === 0) {
        const before = seen.get(states);
        if (before !== undefined) {
          if (last === undefined) return undefined;
          return { untilTick: last >= before ? undefined : last + this.#ticks };
        }
        seen.set(states, ticks);
      }
      const { after, writes } = this.#period(states, this.#lead + tick, true);
      if (writes) last = ticks;
      states = this.#sets.id(after);
    }
    return { untilTick: undefined };
  }

  #next(states: SetId, tick: number): SetId {
    const input = this.#inputs[tick] as number;
    const key = states * 4_194_304 + input;
    let after = this.#after.get(key);
    if (after === undefined) {
      after = this.#sets.id(this.#period(states, tick, false).after);
      this.#after.set(key, after);
    }
    return after;
  }

  #period(states: SetId, tick: number, isQuiet: boolean) {
    const input = this.#inputs[tick] as number;
    const feed = this.#courses.inputFeed(this.#group.reading, input);
    return this.#step.period(this.#sets.set(states), feed, input, isQuiet);
  }
}
