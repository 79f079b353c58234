import { type Bit, FALSE } from "./bit-graph.js";
import type { ClusterChange } from "./cluster-step.js";
import { type Level, namesOf } from "./level.js";
import type { SignalChange, StepView } from "./step-view.js";
import type { Signal } from "./structure.js";

/** The level of each signal, as seen at some moment. */
type LevelAt = (signal: Signal) => Level;

/** By storage bit: what its cluster does. */
export type ClusterChanges = ReadonlyMap<Signal, { readonly cluster: number; readonly change: ClusterChange }>;

/**
 * Signals that change one after the other in steps of their own: one net; or the bits of a cluster; or nets that show bits of
 * one cluster, since a chip's outputs follow the changes at its pins in order.
 */
interface Group {
  readonly signals: readonly Signal[];
  /** What changes at one moment. Of nets each one by itself: in each step they come in any order. */
  readonly units: readonly (readonly Signal[])[];
  readonly stages: readonly ReadonlyMap<Signal, Level>[];
  readonly glitch: Bit;
}

/** More levels in a row than this are not told apart. */
const MOST_STAGES = 12;
/** More signals than this that change in an open order are not tried in every order. */
const MOST_OPEN = 5;

/**
 * The levels that an output takes when what it reads changes. `read` are the signals that it reads and that can change;
 * `levelOf` works the output out from theirs. In an open order the output may pulse where some way to the new level leads
 * there and back.
 */
export function mergeChanges(
  step: StepView,
  read: readonly Signal[],
  clusters: ClusterChanges,
  levelOf: (levels: LevelAt) => Level,
): SignalChange {
  const { graph, rest } = step;
  const groups = groupsOf(step, read, clusters);
  const before: LevelAt = (signal) => rest.levels[signal] ?? step.now(signal);
  const now: LevelAt = (signal) => step.now(signal);
  const last = levelOf(now);
  const passed = graph.any(groups.map(({ glitch, signals }) => sensitiveTo(step, glitch, signals, levelOf)));
  const order = inOrder(step, groups);
  const count = groups.reduce((sum, { stages }) => sum + stages.length, 0);
  if (order && count <= MOST_STAGES) {
    const stages: Level[] = [];
    const pulses: Bit[] = [];
    let seen: LevelAt = before;
    for (const group of order) {
      for (const stage of group.stages) {
        const [from, own] = [seen, new Set(group.signals)];
        const to: LevelAt = (signal) => (own.has(signal) ? (stage.get(signal) ?? before(signal)) : from(signal));
        pulses.push(mayPulse(step, group.units, from, to, levelOf));
        stages.push(levelOf(to));
        seen = to;
      }
    }
    const all = withoutRepeats(levelOf(before), [...stages.slice(0, -1), last]);
    return { stages: all, glitch: graph.any([passed, ...pulses]) };
  }

  const changed = groups.map((group) => changes(step, group));
  const open = groups.every(({ stages }) => stages.length === 1)
    ? mayPulse(
        step,
        groups.flatMap(({ units }) => units),
        before,
        now,
        levelOf,
      )
    : graph.any(pairs(changed).map(([a, b]) => graph.and(a, b)));
  // A group that goes through several levels may pulse by itself.
  const several = groups.map(({ stages }, index) => (stages.length > 1 ? (changed[index] ?? FALSE) : FALSE));
  return { stages: [last], glitch: graph.any([passed, open, ...several]) };
}

function changes(step: StepView, { signals, stages }: Group): Bit {
  const moved = signals.flatMap((signal) => {
    const before = step.rest.levels[signal] ?? step.now(signal);
    return stages.map((stage) => step.levels.mayDiffer(before, stage.get(signal) ?? before));
  });
  return step.graph.any(moved);
}

function groupsOf(step: StepView, read: readonly Signal[], clusters: ClusterChanges): readonly Group[] {
  const groups: Group[] = [];
  const taken = new Set<Signal>();
  const inside = new Map<number, Signal[]>();
  const shown = new Map<number, Signal[]>();
  for (const signal of read) {
    const own = clusters.get(signal)?.cluster;
    const shows = own === undefined ? shownCluster(step, signal, clusters) : undefined;
    if (own !== undefined) inside.set(own, [...(inside.get(own) ?? []), signal]);
    else if (shows !== undefined) shown.set(shows, [...(shown.get(shows) ?? []), signal]);
  }
  const changeOf = new Map([...clusters.values()].map(({ cluster, change }) => [cluster, change]));
  for (const [cluster, bits] of inside) {
    const change = changeOf.get(cluster);
    if (!change) continue;
    // Pins of the same chip that act on these bits change with them.
    const signals = [...bits, ...read.filter((signal) => !clusters.has(signal) && change.stages[0]?.has(signal))];
    for (const signal of signals) taken.add(signal);
    groups.push({ signals, units: [signals], stages: change.stages, glitch: change.glitch });
  }
  for (const [cluster, nets] of shown) {
    const change = changeOf.get(cluster);
    const signals = nets.filter((net) => !taken.has(net));
    if (!change || signals.length < 2) continue;
    for (const net of signals) taken.add(net);
    const stages = change.stages.map((stage) => new Map(signals.map((net) => [net, shownAt(step, net, stage)])));
    groups.push({ signals, units: signals.map((net) => [net]), stages, glitch: change.glitch });
  }
  for (const signal of read) {
    if (taken.has(signal)) continue;
    const { stages, glitch } = step.changeOf(signal);
    const levels = stages.map((level) => new Map([[signal, level]]));
    groups.push({ signals: [signal], units: [[signal]], stages: levels, glitch });
  }
  return groups;
}

/** The cluster whose bits a net shows, where nothing else that can change has a say in it. */
function shownCluster({ structure, ordering }: StepView, net: Signal, clusters: ClusterChanges): number | undefined {
  const [only, another] = structure.driversOf[net] ?? [];
  const driver = structure.drivers[only ?? -1];
  if (driver?.kind !== "logic" || driver.enable || another !== undefined) return undefined;
  const names = namesOf(driver.value).map((name) => structure.signalOf(driver.chip, name));
  const owners = new Set(names.filter((s) => ordering.canChange(s)).map((s) => clusters.get(s)?.cluster));
  const [owner] = owners;
  return owners.size === 1 ? owner : undefined;
}

function shownAt(step: StepView, net: Signal, stage: ReadonlyMap<Signal, Level>): Level {
  const { structure, levels } = step;
  const driver = structure.drivers[structure.driversOf[net]?.[0] ?? -1];
  if (driver?.kind !== "logic") return step.now(net);
  return levels.evaluate(driver.value, (name) => {
    const signal = structure.signalOf(driver.chip, name);
    return stage.get(signal) ?? step.now(signal);
  });
}

/** Groups in the one order that cause and effect leave; undefined where it is open. */
function inOrder(step: StepView, groups: readonly Group[]): readonly Group[] | undefined {
  const isBefore = (one: Group, other: Group) =>
    one.stages.length === 1 &&
    one.signals.every((a) => other.signals.every((b) => step.ordering.relation(a, b) === "before"));
  const order: Group[] = [];
  const left = new Set(groups);
  while (left.size > 0) {
    const first = [...left].find((one) => [...left].every((other) => other === one || isBefore(one, other)));
    if (!first) return undefined;
    order.push(first);
    left.delete(first);
  }
  return order;
}

/** Whether in some order of these units, each changing once, the output goes away from its level and back. */
function mayPulse(
  step: StepView,
  units: readonly (readonly Signal[])[],
  from: LevelAt,
  to: LevelAt,
  levelOf: (levels: LevelAt) => Level,
): Bit {
  if (units.length < 2) return FALSE;
  const { graph, levels } = step;
  if (units.length > MOST_OPEN) {
    const moved = units.map((unit) => graph.any(unit.map((signal) => levels.mayDiffer(from(signal), to(signal)))));
    return graph.any(pairs(moved).map(([a, b]) => graph.and(a, b)));
  }
  const unitOf = new Map(units.flatMap((unit, index) => unit.map((signal) => [signal, index] as const)));
  const all = (1 << units.length) - 1;
  const results = Array.from({ length: all + 1 }, (_, mask) =>
    levelOf((signal) => {
      const unit = unitOf.get(signal);
      return unit !== undefined && ((mask >> unit) & 1) === 0 ? from(signal) : to(signal);
    }),
  );
  const [old, last] = [results[0], results[all]];
  if (!old || !last) return FALSE;
  const isSame = graph.not(levels.mayDiffer(old, last));
  const aside = results.map((level) => graph.and(isSame, levels.mayDiffer(level, old)));
  const back: Bit[] = [];
  results.forEach((one, first) => {
    results.forEach((other, then) => {
      // `then` has changed all that `first` has and more, but the output is back.
      if (first === then || (first & then) !== first) return;
      back.push(graph.and(levels.mayDiffer(one, old), levels.mayDiffer(other, last)));
    });
  });
  return graph.any([...aside, ...back]);
}

/** Where a pulse of these signals goes through to the output. */
function sensitiveTo(
  step: StepView,
  glitch: Bit,
  signals: readonly Signal[],
  levelOf: (levels: LevelAt) => Level,
): Bit {
  if (glitch === FALSE) return FALSE;
  // With several signals the pulse of one alone may go through where all together do not.
  if (signals.length > 1) return glitch;
  const { levels, graph, rest } = step;
  const turned =
    (of: LevelAt): LevelAt =>
    (signal) =>
      signals.includes(signal) ? levels.not(of(signal)) : of(signal);
  const moves = [(signal: Signal) => rest.levels[signal] ?? step.now(signal), (signal: Signal) => step.now(signal)].map(
    (of) => levels.mayDiffer(levelOf(of), levelOf(turned(of))),
  );
  return graph.and(glitch, graph.any(moves));
}

function withoutRepeats(before: Level, stages: readonly Level[]): readonly Level[] {
  const kept: Level[] = [];
  const isSame = (a: Level, b: Level) => a.value === b.value && a.known === b.known;
  for (const [index, level] of stages.entries()) {
    const previous = kept.at(-1) ?? before;
    const isNeeded = index === stages.length - 1 && kept.length === 0;
    if (isSame(previous, level) && !isNeeded) continue;
    kept.push(level);
  }
  return kept;
}

function pairs<T>(list: readonly T[]): readonly (readonly [T, T])[] {
  return list.flatMap((one, index) => list.slice(index + 1).map((other) => [one, other] as const));
}
