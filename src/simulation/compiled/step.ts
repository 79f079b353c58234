import { type Bit, type BitGraph, FALSE, TRUE } from "./bit-graph.js";
import { clusterParts } from "./cluster-parts.js";
import { type ClusterChange, stepCluster } from "./cluster-step.js";
import { type Level, Levels, UNKNOWN_LEVEL, namesOf } from "./level.js";
import { stepMemory } from "./memory-step.js";
import { mergeChanges } from "./merge.js";
import { levelOfNet } from "./net-level.js";
import type { Ordering } from "./ordering.js";
import type { Part } from "./schedule.js";
import type { SourceChange, StepOptions, StepPlan, StepResult } from "./step-plan.js";
import type { Doubt, Rest, SignalChange, StepView } from "./step-view.js";
import { Stirring } from "./stirring.js";
import type { Cluster, Signal, Structure } from "./structure.js";

type SimplePart = Exclude<Part, { kind: "loop" }>;

/** Rounds over a loop whose levels are not constants: a counter that clears itself needs three, and one to see it rest. */
const MOST_ROUNDS = 4;

function isSameChange(one: SignalChange | undefined, other: SignalChange | undefined): boolean {
  if (!one || !other) return one === other;
  return (
    one.glitch === other.glitch &&
    one.stages.length === other.stages.length &&
    one.stages.every(
      ({ value, known }, index) => value === other.stages[index]?.value && known === other.stages[index]?.known,
    )
  );
}

/** One outside change that is being worked out; see `work-out.ts`. */
export class Step implements StepView {
  readonly structure: Structure;
  readonly ordering: Ordering;
  readonly graph: BitGraph;
  readonly levels: Levels;
  readonly rest: Rest;
  readonly followsUnknown: boolean;
  readonly isThorough: boolean;
  private readonly plan: StepPlan;
  private readonly given: (signal: Signal) => Level | undefined;
  private readonly doubtful: ReadonlyMap<Signal, Bit>;
  private readonly nowLevels: Level[];
  private readonly driven: Bit[];
  private readonly arrays: number[];
  private readonly changes = new Map<Signal, SignalChange>();
  private readonly clusterChanges = new Map<Signal, { readonly cluster: number; readonly change: ClusterChange }>();
  private readonly doubts: Doubt[] = [];
  private readonly begins: (readonly Bit[])[];
  private readonly stirring: Stirring;
  private readonly besides = new Map<Signal, Stirring>();
  private later: (() => void)[] = [];

  constructor(
    plan: StepPlan,
    ordering: Ordering,
    graph: BitGraph,
    rest: Rest,
    { followsUnknown = false, isThorough = false, given = () => undefined }: StepOptions,
    doubtful: ReadonlyMap<Signal, Bit>,
  ) {
    this.plan = plan;
    this.structure = plan.structure;
    this.ordering = ordering;
    this.graph = graph;
    this.levels = new Levels(graph);
    this.rest = rest;
    this.followsUnknown = followsUnknown;
    this.isThorough = isThorough;
    this.given = given;
    this.doubtful = doubtful;
    this.stirring = new Stirring(this);
    this.nowLevels = [...rest.levels];
    this.driven = [...rest.driven];
    this.arrays = [...rest.arrays];
    this.begins = this.structure.memories.map(({ ports }) => ports.map(() => FALSE));
  }

  run(changes: readonly SourceChange[]): StepResult {
    for (const { source, level, driven } of changes) {
      const signal = this.structure.sources[source]?.signal ?? 0;
      this.driven[signal] = driven;
      this.set(signal, { stages: [level], glitch: FALSE });
    }
    for (const part of this.plan.parts) this.workOut(part);
    for (let acts = this.later; acts.length > 0; acts = this.later) {
      this.later = [];
      for (const act of acts) act();
    }
    return {
      rest: { levels: this.nowLevels, driven: this.driven, arrays: this.arrays },
      doubts: this.doubts,
      begins: this.begins,
    };
  }

  now(signal: Signal): Level {
    return this.nowLevels[signal] ?? { value: FALSE, known: FALSE };
  }

  drives(signal: Signal) {
    return { before: this.rest.driven[signal] ?? TRUE, now: this.driven[signal] ?? TRUE };
  }

  stirs(signal: Signal, withoutPort = -1): Bit {
    return withoutPort < 0 ? this.stirring.of(signal) : this.stirring.ofOthers(signal, withoutPort);
  }

  stirsBeside(signal: Signal, other: Signal): Bit {
    const beside = this.besides.get(other) ?? new Stirring(this, { signal: other, whole: this.stirring });
    this.besides.set(other, beside);
    return beside.of(signal);
  }

  netWithout(net: Signal, port: number): Level {
    return levelOfNet(this, net, this.present(), port).level;
  }

  changed(signal: Signal): Bit {
    const before = this.rest.levels[signal];
    return before ? this.levels.mayDiffer(before, this.now(signal)) : FALSE;
  }

  changeOf(signal: Signal): SignalChange {
    return this.changes.get(signal) ?? { stages: [this.now(signal)], glitch: FALSE };
  }

  isStrobe(signal: Signal): boolean {
    return this.isThorough || this.plan.strobes.has(signal);
  }

  doubt(doubt: Doubt): void {
    if (doubt.when !== FALSE) this.doubts.push(doubt);
  }

  afterwards(act: () => void): void {
    this.later.push(act);
  }

  doubtOf(signal: Signal): Bit {
    return this.doubtful.get(signal) ?? FALSE;
  }

  private present(): Rest {
    return { levels: this.nowLevels, driven: this.driven, arrays: this.arrays };
  }

  private set(signal: Signal, change: SignalChange): void {
    this.changes.set(signal, change);
    this.nowLevels[signal] = change.stages.at(-1) ?? this.now(signal);
  }

  private workOut(part: Part): void {
    if (part.kind === "net") this.workOutNet(part.net);
    else if (part.kind === "cluster") this.workOutCluster(part.cluster);
    else if (part.kind === "memory") this.workOutMemory(part.memory);
    else this.workOutLoop(part.parts);
  }

  /**
   * Parts that wait for each other: gone over until nothing changes any more, beginning at one place and at another. Where
   * that comes to no end, or to different ones, or hangs on a pulse, it is a doubt.
   */
  private workOutLoop(parts: readonly SimplePart[]): void {
    const signals = parts.flatMap((part) => this.madeBy(part));
    const middle = Math.ceil(parts.length / 2);
    const others = [
      [...parts.slice(middle), ...parts.slice(0, middle)],
      ...(this.isThorough ? [[...parts].reverse()] : []),
    ];
    const elsewhere = others.map((order) => this.goRound(order, signals));
    const forwards = this.goRound(parts, signals);
    const nets = signals.filter((signal) => signal < this.structure.netCount).map((net) => this.structure.nameOf(net));
    for (const signal of signals) {
      const all = [forwards, ...elsewhere].flatMap((found) => found.get(signal) ?? []);
      const [one] = all;
      if (!one) continue;
      const differs = all.map(({ now }) => this.levels.mayDiffer(one.now, now));
      const open = [...all.map(({ unsettled }) => unsettled), ...differs, this.changeOf(signal).glitch];
      // What was unknown on all ways is no doubt of the loop's.
      const isKnown = this.graph.any(all.map(({ now }) => now.known));
      const when = this.graph.and(this.graph.any(open), isKnown);
      if (when === FALSE) continue;
      if (this.isThorough) this.set(signal, { stages: [UNKNOWN_LEVEL], glitch: FALSE });
      const bit = signal >= this.structure.netCount ? { bit: signal } : {};
      this.doubt({ kind: "loop", when, place: this.structure.nameOf(signal), nets, ...bit });
    }
  }

  /** Goes over parts until nothing changes, or so often; gives what each signal is then, and whether it still changed. */
  private goRound(parts: readonly SimplePart[], signals: readonly Signal[]) {
    this.forget(signals);
    const [later, doubts] = [this.later.length, this.doubts.length];
    const mostRounds = this.isThorough ? 2 * parts.length + 6 : MOST_ROUNDS;
    let before: ReadonlyMap<Signal, SignalChange | undefined> = new Map();
    for (let round = 0; round < mostRounds; round++) {
      before = new Map(signals.map((signal) => [signal, this.changes.get(signal)]));
      // What earlier rounds found was found too early.
      this.later.length = later;
      this.doubts.length = doubts;
      for (const part of parts) this.workOut(part);
      if (signals.every((signal) => isSameChange(before.get(signal), this.changes.get(signal)))) break;
    }
    return new Map(
      signals.map((signal) => {
        const last = before.get(signal)?.stages.at(-1);
        const now = this.now(signal);
        return [signal, { now, unsettled: last ? this.levels.mayDiffer(last, now) : FALSE }];
      }),
    );
  }

  private forget(signals: readonly Signal[]): void {
    for (const signal of signals) {
      this.changes.delete(signal);
      this.clusterChanges.delete(signal);
      this.nowLevels[signal] = this.rest.levels[signal] ?? UNKNOWN_LEVEL;
      this.driven[signal] = this.rest.driven[signal] ?? TRUE;
    }
  }

  private madeBy(part: SimplePart): readonly Signal[] {
    if (part.kind === "net") return [part.net];
    if (part.kind === "memory") return [];
    const { clusters, bits } = this.structure;
    return (clusters[part.cluster]?.bits ?? []).map((bit) => bits[bit]?.signal ?? 0);
  }

  private workOutNet(net: Signal): void {
    const { structure } = this;
    const all = levelOfNet(this, net, this.present());
    this.driven[net] = all.driven;
    const [only, another] = structure.driversOf[net] ?? [];
    const driver = structure.drivers[only ?? -1];
    if (!this.isStrobe(net)) return this.set(net, { stages: [all.level], glitch: FALSE });
    if (driver?.kind === "logic" && !driver.enable && another === undefined) {
      const { chip, value } = driver;
      const read = [...new Set(namesOf(value).map((name) => structure.signalOf(chip, name)))];
      const changing = read.filter((signal) => this.ordering.canChange(signal));
      const change = mergeChanges(this, changing, this.clusterChanges, (levelOf) =>
        this.levels.evaluate(value, (name) => levelOf(structure.signalOf(chip, name))),
      );
      return this.set(net, change);
    }
    const sources = (structure.driversOf[net] ?? []).flatMap((index) => this.readBy(index));
    const changing = [...new Set(sources)].filter((signal) => this.ordering.canChange(signal));
    const [source] = changing;
    if (changing.length === 1 && source !== undefined && driver?.kind === "source") {
      return this.set(net, { stages: [all.level], glitch: this.changeOf(source).glitch });
    }
    // Several drivers that hand a net over, or a memory's output: any two changes may make it pulse.
    const changed = changing.map((signal) => this.changed(signal));
    const two = changed.flatMap((one, index) => changed.slice(index + 1).map((other) => this.graph.and(one, other)));
    const glitches = changing.map((signal) => {
      const { stages, glitch } = this.changeOf(signal);
      return stages.length > 1 ? TRUE : glitch;
    });
    this.set(net, { stages: [all.level], glitch: this.graph.any([...two, ...glitches]) });
  }

  private readBy(index: number): readonly Signal[] {
    const { drivers, sources, ports, memories, signalOf } = this.structure;
    const driver = drivers[index];
    if (!driver) return [];
    if (driver.kind === "source") return [sources[driver.source]?.signal ?? 0];
    if (driver.kind === "logic") {
      const { chip, value, enable } = driver;
      return [value, ...(enable ? [enable] : [])].flatMap(namesOf).map((name) => signalOf(chip, name));
    }
    return (memories[ports[driver.port]?.memory ?? 0]?.ports ?? []).flatMap((index) => {
      const port = ports[index];
      if (!port) return [];
      const names = [port.read, ...(port.write ? [port.write] : [])].flatMap(namesOf);
      return [...port.address, ...names.map((name) => signalOf(port.chip, name))];
    });
  }

  private workOutCluster(index: number): void {
    const { structure, graph } = this;
    const cluster = structure.clusters[index];
    if (!cluster) return;
    const change = this.givenChange(cluster) ?? stepCluster(this, cluster);
    for (const bit of cluster.bits) {
      const signal = structure.bits[bit]?.signal ?? 0;
      const stages = change.stages.map((stage) => stage.get(signal) ?? this.now(signal));
      const last = this.stored(signal, stages.at(-1) ?? this.now(signal));
      this.set(signal, { stages: [...stages.slice(0, -1), last], glitch: change.glitch });
      this.clusterChanges.set(signal, { cluster: index, change: withLast(change, signal, last) });
      if (this.followsUnknown) continue;
      const when = graph.not(last.known);
      this.doubt({ kind: "unknown", when, place: structure.nameOf(signal), nets: [], bit: signal });
    }
  }

  /**
   * What a cluster does all of whose bits are given: nothing is to be worked out where one strobe makes one edge. What may be in
   * doubt about it was looked at when its levels were found.
   */
  private givenChange(cluster: Cluster): ClusterChange | undefined {
    const strobes = clusterParts(this.structure, cluster).strobes.filter((signal) => this.ordering.canChange(signal));
    const isOne = strobes.every((signal) => {
      const { stages, glitch } = this.changeOf(signal);
      return stages.length === 1 && glitch === FALSE;
    });
    if (strobes.length > 1 || !isOne) return undefined;
    const stage = new Map<Signal, Level>(strobes.map((signal) => [signal, this.now(signal)]));
    for (const bit of cluster.bits) {
      const signal = this.structure.bits[bit]?.signal ?? 0;
      const level = this.given(signal);
      if (!level) return undefined;
      stage.set(signal, level);
    }
    return { stages: [stage], glitch: FALSE };
  }

  /** What a bit holds in the end: as given beforehand, unknown where it is in doubt, else as worked out. */
  private stored(signal: Signal, last: Level): Level {
    const given = this.given(signal);
    if (given) return given;
    const doubt = this.doubtOf(signal);
    return doubt === FALSE ? last : { value: last.value, known: this.graph.and(last.known, this.graph.not(doubt)) };
  }

  private workOutMemory(memory: number): void {
    const { state, begins } = stepMemory(this, memory);
    this.arrays[memory] = state;
    this.begins[memory] = begins;
  }
}

function withLast(change: ClusterChange, signal: Signal, last: Level): ClusterChange {
  const stage = change.stages.at(-1);
  if (!stage || stage.get(signal) === last) return change;
  (stage as Map<Signal, Level>).set(signal, last);
  return change;
}
