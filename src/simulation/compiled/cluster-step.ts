import type { Expression } from "../../parts/index.js";
import { type Arrival, ordersOf } from "./arrivals.js";
import { type Bit, FALSE, TRUE } from "./bit-graph.js";
import { type Member, clusterParts, levelStrobesIn } from "./cluster-parts.js";
import { type Level, namesOf } from "./level.js";
import type { StepView } from "./step-view.js";
import type { Cluster, Signal } from "./structure.js";

/** What the storage bits of a cluster do: their levels, and those of the nets that act on them, after each change. */
export interface ClusterChange {
  readonly stages: readonly ReadonlyMap<Signal, Level>[];
  readonly glitch: Bit;
}

/**
 * Works out what a change does to a cluster. Changes at pins that act on storage (clocks, enables, clears) are gone through
 * one after the other, in every order that cause and effect leave open; data pins have their old level or their new one by
 * whether they change after or before. Where that is open and makes a difference there is a race.
 */
export function stepCluster(step: StepView, cluster: Cluster): ClusterChange {
  return new ClusterStep(step, cluster).run();
}

/** More ways than this for data to come before or after strobes are not gone through. */
const MOST_VARIANTS = 32;

class ClusterStep {
  private readonly step: StepView;
  private readonly cluster: Cluster;
  private readonly members: readonly Member[];
  /** Nets that act and can change. */
  private readonly strobes: readonly Signal[];
  /** Other nets that are read and can change. */
  private readonly data: readonly Signal[];

  constructor(step: StepView, cluster: Cluster) {
    this.step = step;
    this.cluster = cluster;
    const { members, strobes, data } = clusterParts(step.structure, cluster);
    this.members = members;
    this.strobes = strobes.filter((signal) => step.ordering.canChange(signal));
    this.data = data.filter((signal) => step.ordering.canChange(signal) && !this.strobes.includes(signal));
  }

  run(): ClusterChange {
    const orders = ordersOf(this.step, this.strobes);
    const [order = []] = orders ?? [this.strobes.flatMap((signal) => this.arrivalsOf(signal))];
    const latest = this.data.map((signal) => order.length - this.earliestFromEnd(signal, order));
    const { stages, rises, risesAt } = this.follow(order, latest);
    const last = stages.at(-1) ?? new Map<Signal, Level>();
    this.noteSecondRises(rises);
    this.step.afterwards(() => {
      if (this.step.isThorough) {
        if (orders) this.compareOrders(orders, last);
        else this.noteAllAtOnce(last);
        for (const one of orders ?? [order]) this.compareData(one, last);
      } else {
        this.suspectStrobes();
        this.suspectData(order, risesAt);
      }
      this.comparePins(order, latest, last);
      this.noteGlitches(last);
    });
    return { stages, glitch: this.glitch(orders?.length === 1) };
  }

  private arrivalsOf(signal: Signal): Arrival[] {
    return this.step.changeOf(signal).stages.map((level, stage) => ({ signal, stage, level }));
  }

  /** Places in an order, counted from its end, before which a data net may at the latest change. */
  private earliestFromEnd(signal: Signal, order: readonly Arrival[]): number {
    const [, to] = this.placesOf(signal, order);
    return order.length - to;
  }

  /** The first and last place in an order at which a data net may change: before the arrival of that number. */
  private placesOf(signal: Signal, order: readonly Arrival[]): readonly [from: number, to: number] {
    let [from, to] = [0, order.length];
    order.forEach((arrival, index) => {
      const relation = this.step.ordering.relation(signal, arrival.signal);
      if (relation === "after" && arrival.stage === 0) from = Math.max(from, index + 1);
      const isSteady = this.step.changeOf(signal).stages.length === 1;
      if (relation === "before" && isSteady) to = Math.min(to, index);
    });
    return [Math.min(from, to), to];
  }

  /**
   * Follows one order of strobes, with each data net changing before the arrival of that number. Pins named `late` see a
   * change only after it has acted at other pins on the same net.
   */
  private follow(order: readonly Arrival[], places: readonly number[], late: readonly string[] = []) {
    const { step, members } = this;
    const seen = new Map<Signal, Level>();
    const levelOf = (signal: Signal): Level => seen.get(signal) ?? step.rest.levels[signal] ?? step.now(signal);
    const passed = new Map<string, Level>();
    const named = (name: string) => passed.get(name) ?? levelOf(step.structure.signalOf(this.cluster.chip, name));
    const evaluate = (expression: Expression) => step.levels.evaluate(expression, named);
    const stages: Map<Signal, Level>[] = [];
    const rises = new Map<Signal, Level[]>(); // of clocks, by the bit that they clock
    const risesAt: Level[][] = order.map(() => []); // the same, by arrival

    const followLevel = (member: Member) => {
      if (member.level) seen.set(member.signal, evaluate(member.level));
    };
    const clockOf = ({ storage }: Member): Level | undefined =>
      storage.kind === "register" ? evaluate(storage.clock) : undefined;
    const clocked = (member: Member, before: Level | undefined, index: number): Level => {
      const after = clockOf(member);
      if (!before || !after || !member.edge) return levelOf(member.signal);
      const rise = step.levels.and(step.levels.not(before), after);
      if (rise.value === FALSE && rise.known === TRUE) return levelOf(member.signal);
      rises.set(member.signal, [...(rises.get(member.signal) ?? []), rise]);
      risesAt[index]?.push(rise);
      return step.levels.choose(rise, evaluate(member.edge), levelOf(member.signal));
    };
    const snapshot = () => {
      stages.push(new Map([...members.map(({ signal }) => signal), ...this.strobes].map((s) => [s, levelOf(s)])));
    };

    order.forEach(({ signal, level }, index) => {
      const coming = this.data.filter((_, n) => places[n] === index);
      for (const data of coming) seen.set(data, this.early(data, order));
      if (coming.length > 0) members.forEach(followLevel);
      const clocks = members.map(clockOf);
      for (const name of late) passed.set(name, named(name));
      seen.set(signal, level);
      const taken = members.map((member, n) => (member.hasInnerClock ? undefined : clocked(member, clocks[n], index)));
      taken.forEach((level, n) => {
        const member = members[n];
        if (level && member) seen.set(member.signal, level);
      });
      members.forEach((member, n) => {
        if (member.hasInnerClock) seen.set(member.signal, clocked(member, clocks[n], index));
        followLevel(member);
      });
      if (late.length > 0) {
        passed.clear();
        members.forEach(followLevel);
      }
      snapshot();
    });
    for (const data of this.data) seen.set(data, step.now(data));
    if (this.data.length > 0 || order.length === 0) {
      members.forEach(followLevel);
      snapshot();
    }
    return { stages, rises, risesAt };
  }

  /** What data show that come before a strobe: their new level, or who knows what where they pulse in an open order. */
  private early(data: Signal, order: readonly Arrival[]): Level {
    const now = this.step.now(data);
    const [from, to] = this.placesOf(data, order);
    if (from === to || !this.step.isThorough) return now;
    const { stages, glitch } = this.step.changeOf(data);
    const wanders = stages.slice(0, -1).map((stage) => this.step.levels.mayDiffer(stage, now));
    const unsure = this.step.graph.or(glitch, this.step.graph.any(wanders));
    return { value: now.value, known: this.step.graph.and(now.known, this.step.graph.not(unsure)) };
  }

  /** Two rises of one clock before all is at rest: what the second one takes hangs on delays. */
  private noteSecondRises(rises: ReadonlyMap<Signal, readonly Level[]>): void {
    const { graph, levels } = this.step;
    for (const [signal, list] of rises) {
      const both = list.flatMap((one, index) =>
        list.slice(index + 1).map((other) => graph.and(levels.isHigh(one), levels.isHigh(other))),
      );
      this.doubt("race", signal, graph.any(both), this.strobes);
    }
  }

  /** Two strobes whose order is open, both changing: to be looked at thoroughly. */
  private suspectStrobes(): void {
    const { graph, ordering } = this.step;
    const open = this.strobes.flatMap((one, index) =>
      this.strobes.slice(index + 1).flatMap((other) => {
        // All changes of one come before those of the other only if it changes once.
        const relation = ordering.relation(one, other);
        const isOpen = relation === "either" || this.isUnsteady(relation === "before" ? one : other);
        return isOpen ? [graph.and(this.moves(one), this.moves(other))] : [];
      }),
    );
    this.suspect(graph.any(open), this.strobes);
  }

  /** Data that change while a strobe acts, on a way by which their order is open: to be looked at thoroughly. */
  private suspectData(order: readonly Arrival[], risesAt: readonly (readonly Level[])[]): void {
    const { graph, levels } = this.step;
    const acting = new Set(this.members.flatMap(({ storage }) => levelStrobesIn(storage)).flatMap(namesOf));
    const byLevel = new Set([...acting].map((name) => this.step.structure.signalOf(this.cluster.chip, name)));
    const acts = order.map(({ signal }, index) => {
      const rise = graph.any((risesAt[index] ?? []).map((level) => levels.mayBeHigh(level)));
      return graph.or(rise, byLevel.has(signal) ? this.moves(signal) : FALSE);
    });
    if (acts.every((bit) => bit === FALSE)) return;
    for (const data of this.data) {
      const [from, to] = this.placesOf(data, order);
      const isSteady = this.step.changeOf(data).stages.length === 1;
      for (let index = from; index < to; index++) {
        const { signal } = order[index] ?? {};
        const when = acts[index] ?? FALSE;
        if (signal === undefined || when === FALSE) continue;
        const moves = isSteady ? this.step.stirsBeside(data, signal) : this.step.stirs(data);
        this.suspect(graph.and(when, moves), [signal, data]);
      }
    }
  }

  private suspect(when: Bit, signals: readonly Signal[]): void {
    const place = this.members[0];
    if (place) this.doubt("race", place.signal, when, signals);
  }

  private isUnsteady(signal: Signal): boolean {
    return this.step.changeOf(signal).stages.length > 1;
  }

  /** Whether a signal changes at all, be it there and back. */
  private moves(signal: Signal): Bit {
    const { graph, levels } = this.step;
    const { stages } = this.step.changeOf(signal);
    return graph.any(stages.map((stage) => levels.mayDiffer(stage, this.restOf(signal))));
  }

  private compareOrders(orders: readonly (readonly Arrival[])[], last: ReadonlyMap<Signal, Level>): void {
    for (const order of orders.slice(1)) {
      const places = this.data.map((signal) => this.placesOf(signal, order)[1]);
      const other = this.follow(order, places).stages.at(-1);
      if (other) this.noteDifference(last, other, this.strobes);
    }
  }

  /** Too many strobes that may change in any order: any two at once are a race. */
  private noteAllAtOnce(last: ReadonlyMap<Signal, Level>): void {
    const { graph } = this.step;
    const changed = this.strobes.map((signal) => this.step.changed(signal));
    const two = changed.flatMap((one, index) => changed.slice(index + 1).map((other) => graph.and(one, other)));
    for (const signal of this.signals()) {
      const moved = this.step.levels.departs(last.get(signal) ?? this.step.now(signal), this.restOf(signal));
      this.doubt("race", signal, graph.and(graph.any(two), moved), this.strobes);
    }
  }

  /** Tries data nets that may come before a strobe or after it both ways. */
  private compareData(order: readonly Arrival[], last: ReadonlyMap<Signal, Level>): void {
    const ranges = this.data.map((signal) => this.placesOf(signal, order));
    const open = ranges.flatMap(([from, to], index) => (from < to ? [index] : []));
    if (open.length === 0) return;
    const ways = open.reduce((count, index) => {
      const [from, to] = ranges[index] ?? [0, 0];
      return count * (to - from + 1);
    }, 1);
    const nets = open.map((index) => this.data[index] ?? 0);
    const places = ranges.map(([, to]) => to);
    if (ways > MOST_VARIANTS) {
      // Each by itself, and all at once: enough where no two cancel each other.
      for (const index of open)
        this.compareVariant(order, replaced(places, index, ranges[index]?.[0] ?? 0), last, nets);
      this.compareVariant(
        order,
        ranges.map(([from]) => from),
        last,
        nets,
      );
      return;
    }
    const visit = (n: number, chosen: readonly number[]): void => {
      const index = open[n];
      if (index === undefined) return this.compareVariant(order, chosen, last, nets);
      const [from, to] = ranges[index] ?? [0, 0];
      for (let place = from; place <= to; place++) visit(n + 1, replaced(chosen, index, place));
    };
    visit(0, places);
  }

  private compareVariant(
    order: readonly Arrival[],
    places: readonly number[],
    last: ReadonlyMap<Signal, Level>,
    nets: readonly Signal[],
  ): void {
    const other = this.follow(order, places).stages.at(-1);
    if (other) this.noteDifference(last, other, [...this.strobes, ...nets]);
  }

  private noteDifference(
    one: ReadonlyMap<Signal, Level>,
    other: ReadonlyMap<Signal, Level>,
    nets: readonly Signal[],
  ): void {
    for (const signal of this.signals()) {
      const [a, b] = [one.get(signal), other.get(signal)];
      if (a && b) this.doubt("race", signal, this.step.levels.departs(a, b), nets);
    }
  }

  /** A clock or enable that shares its net with other pins of the chip: those may see a change later than it does. */
  private comparePins(order: readonly Arrival[], places: readonly number[], last: ReadonlyMap<Signal, Level>): void {
    const { signalOf } = this.step.structure;
    const acting = new Set(
      this.members.flatMap(({ storage }) => namesOf(storage.kind === "register" ? storage.clock : storage.open)),
    );
    const nets = new Set([...acting].map((name) => signalOf(this.cluster.chip, name)));
    const others = this.members.flatMap(({ storage }) =>
      [storage.next, ...storage.overrides.flatMap(({ when, value }) => [when, value])].flatMap(namesOf),
    );
    const late = [...new Set(others)].filter((name) => {
      const signal = signalOf(this.cluster.chip, name);
      return !acting.has(name) && nets.has(signal) && this.strobes.includes(signal);
    });
    if (late.length === 0) return;
    const other = this.follow(order, places, late).stages.at(-1);
    if (other) this.noteDifference(last, other, this.strobes);
  }

  /** A strobe that may pulse, where a pulse would change something. */
  private noteGlitches(last: ReadonlyMap<Signal, Level>): void {
    const { step, cluster } = this;
    const { graph, levels } = step;
    for (const strobe of this.strobes) {
      const { glitch } = step.changeOf(strobe);
      if (glitch === FALSE) continue;
      for (const { signal, storage, edge } of this.members) {
        const acts = (expression: Expression) =>
          namesOf(expression).some((name) => step.structure.signalOf(cluster.chip, name) === strobe);
        // What the bit might take, with data as they were or as they will be.
        const acting = storage.kind === "register" ? storage.clock : storage.open;
        const taken = [
          ...(acts(acting) ? [edge ?? storage.next] : []),
          ...storage.overrides.flatMap(({ when, value }) => (acts(when) ? [value] : [])),
        ];
        if (taken.length === 0) continue;
        const [old, later] = [step.rest.levels, undefined].map((levelsThen) =>
          taken.map((expression) =>
            levels.evaluate(expression, (name) => {
              const read = step.structure.signalOf(cluster.chip, name);
              return levelsThen?.[read] ?? last.get(read) ?? step.now(read);
            }),
          ),
        );
        const now = last.get(signal) ?? step.now(signal);
        const moves = [...(old ?? []), ...(later ?? [])].map((level) => levels.departs(now, level));
        this.doubt("pulse", signal, graph.and(glitch, graph.any(moves)), [strobe]);
      }
    }
  }

  /** Whether what the bits do before they are at rest is open. */
  private glitch(hasOneOrder: boolean): Bit {
    const { step } = this;
    if (!this.signals().some((signal) => step.isStrobe(signal))) return FALSE;
    const { graph } = step;
    const changed = this.strobes.map((signal) => step.changed(signal));
    const strobePairs = hasOneOrder
      ? []
      : changed.flatMap((one, index) => changed.slice(index + 1).map((other) => graph.and(one, other)));
    const glitches = [...this.strobes, ...this.data]
      .filter((signal) => step.isStrobe(signal))
      .map((signal) => step.changeOf(signal).glitch);
    return graph.any([...strobePairs, ...glitches]);
  }

  private signals(): readonly Signal[] {
    return this.members.map(({ signal }) => signal);
  }

  private restOf(signal: Signal): Level {
    return this.step.rest.levels[signal] ?? this.step.now(signal);
  }

  private doubt(kind: "race" | "pulse", signal: Signal, when: Bit, nets: readonly Signal[]): void {
    const { structure } = this.step;
    this.step.doubt({
      kind,
      when,
      place: structure.nameOf(signal),
      nets: nets.map((net) => structure.nameOf(net)),
      bit: signal,
    });
  }
}

function replaced(list: readonly number[], index: number, by: number): readonly number[] {
  return list.map((item, n) => (n === index ? by : item));
}
