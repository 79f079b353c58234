import type { Circuit } from "../circuit/index.js";
import { isMissing, sourceLine } from "../parts/index.js";
import { type Fs, formatTime, fs } from "../quantity/index.js";
import type { Check } from "./check.js";
import type { DelayVariable } from "./delay-variable.js";
import type { Model } from "./model.js";
import type { Moment } from "./moment.js";
import { FIRST_OUTSIDE_ROOT, OSCILLATOR_RISE, type Root } from "./roots.js";
import type { Between, ChainStart, ChainStep, Chains } from "./verdict.js";

/** How long a net goes undriven is judged at its most; every other gap at its least. */
export function isJudgedAtMost({ rule, symbol }: Pick<Check, "rule" | "symbol">): boolean {
  return rule === "undriven" && symbol === "gap";
}

/**
 * The account of a check's available time: both chains step by step, and what lies between the edges that they start at.
 * The steps that count, with their sign, and what lies between add up to the gap. Undefined where no time decides.
 */
export function chainsOf(model: Model, check: Check): Chains | undefined {
  const { earlier, later } = check;
  if (!earlier || !later) return undefined;
  const gap = isJudgedAtMost(check) ? "most" : "least";
  const [before, after] = [model.time.chain(earlier.path), model.time.chain(later.path)];
  const shared = sharedCounts(before, after);
  const chains = {
    earlier: stepsOf(model.circuit, before, gap === "least" ? "max" : "min", shared),
    later: stepsOf(model.circuit, after, gap === "least" ? "min" : "max", shared),
  };
  const whole = gap === "least" ? model.time.leastGap(earlier, later) : model.time.mostGap(earlier, later);
  const time = fs(whole - sumOf(chains.later) + sumOf(chains.earlier));
  return { ...chains, gap, between: betweenOf(model, earlier, later, gap, time) };
}

/** The sum of the limits that count, in fs. */
export function sumOf(steps: readonly ChainStep[]): number {
  return steps.reduce((sum, step) => (step.cancelled ? sum : sum + step[step.used]), 0);
}

/** How often each variable is on both chains. */
function sharedCounts(one: readonly DelayVariable[], other: readonly DelayVariable[]): ReadonlyMap<number, number> {
  const counts = new Map<number, number>();
  for (const { id } of one) {
    counts.set(
      id,
      Math.min(
        one.filter((variable) => variable.id === id).length,
        other.filter((variable) => variable.id === id).length,
      ),
    );
  }
  return counts;
}

function stepsOf(
  circuit: Circuit,
  chain: readonly DelayVariable[],
  used: "min" | "max",
  shared: ReadonlyMap<number, number>,
): readonly ChainStep[] {
  const left = new Map(shared);
  return chain.map((variable) => {
    const times = left.get(variable.id) ?? 0;
    left.set(variable.id, times - 1);
    return stepOf(circuit, variable, used, times > 0);
  });
}

function stepOf(circuit: Circuit, variable: DelayVariable, used: "min" | "max", cancelled: boolean): ChainStep {
  const { kind, chip, part, from, to, edge, change, min, max, value } = variable;
  const common = {
    ...{ kind, chip, part, from, to, min, max, used, cancelled },
    ...(edge && { edge }),
    ...(change && { change }),
    ...(value === "none" && { isOneOfSeveral: true as const }),
  };
  if (kind === "wire") {
    const source = `wire of a ${circuit.build}`;
    return { ...common, label: variable.label, source, assumed: false, fromMemory: false };
  }
  if (kind === "outside") {
    const by = circuit.inputs.find(({ net }) => circuit.nets[net]?.name === from)?.by;
    const label = `${variable.label}, as ${by ? `${by.chip} gives it` : "the file states it"}`;
    const source = by ? sourceLine(by.source) : "circuit file";
    return { ...common, from: "", label, source, assumed: false, fromMemory: by?.source.fromMemory ?? false };
  }
  const label = `${chip} ${part} ${from} to ${to}${change ? `, ${change}` : ""}`;
  const figure = figureOf(circuit, variable);
  if (!figure || isMissing(figure)) {
    const missing = figure?.missing ?? `${part} ${from} to ${to}`;
    return { ...common, label, source: "", assumed: false, fromMemory: false, missing };
  }
  const read = used === "min" ? (figure.minimumSource ?? figure.source) : figure.source;
  return {
    ...common,
    label,
    source: sourceLine(read),
    assumed: figure.minimumIs === "assumed",
    fromMemory: read.fromMemory,
    ...(read.measured && { measured: true }),
  };
}

function figureOf({ chips }: Circuit, { chip, from, edge, to, change }: DelayVariable) {
  const found = chips.find(({ ref }) => ref === chip);
  return found && edge && change ? found.part.figures.delay(from, edge, to, change) : undefined;
}

function betweenOf(model: Model, earlier: Moment, later: Moment, gap: Chains["gap"], time: Fs): Between {
  const [from, to] = [startOf(model, earlier), startOf(model, later)];
  return {
    time,
    text: betweenText(model, earlier, later, gap),
    earlier: from,
    later: to,
    ...endsOf(model, from, to, gap),
  };
}

/** The limits of the oscillator's period and high time that the time between two of its edges counts with. */
function endsOf({ time: { duty } }: Model, from: ChainStart, to: ChainStart, gap: Chains["gap"]) {
  if (from.outside !== undefined || to.outside !== undefined) return {};
  const [less, more] = gap === "least" ? (["min", "max"] as const) : (["max", "min"] as const);
  const high = from.edge === to.edge ? undefined : to.edge === "fall" ? less : more;
  const share = high === undefined ? 0 : to.edge === "fall" ? duty[high] : -duty[high];
  const ticks = to.ticks - from.ticks + share;
  return { ...(ticks !== 0 && { period: ticks > 0 ? less : more }), ...(high && { high }) };
}

function startOf({ time, outside }: Model, { path, tick }: Moment): ChainStart {
  const root = time.rootOf(path);
  const edge = root % 2 === 0 ? "rise" : "fall";
  const net = root < FIRST_OUTSIDE_ROOT ? undefined : outside[(root - FIRST_OUTSIDE_ROOT) >> 1]?.net.net.name;
  return { edge, ticks: tick, ...(net !== undefined && { outside: net }) };
}

/** What lies between the edges that the two chains start at. */
function betweenText(model: Model, earlier: Moment, later: Moment, gap: Chains["gap"]): string {
  const { time } = model;
  const [from, to] = [time.rootOf(earlier.path), time.rootOf(later.path)];
  const ticks = later.tick - earlier.tick;
  if (time.isUnrelated(earlier, later)) return "nothing: the two know nothing of each other";
  if (from >= FIRST_OUTSIDE_ROOT) {
    if (from === to && ticks === 0) return `the same ${edgeName(model, from)}`;
    return `from ${edgeName(model, from)} to ${edgeName(model, to)}, at ${gap}`;
  }
  const count = Math.abs(ticks);
  const end = (gap === "least") === ticks >= 0 ? time.period.min : time.period.max;
  const periods = `${count} oscillator ${count === 1 ? "period" : "periods"} of ${formatTime(end as Fs, 4)}`;
  const whole = count === 0 ? "" : ticks > 0 ? `${periods} later` : `${periods} earlier`;
  if (from === to) return whole || "the same edge of the oscillator";
  const share = from === OSCILLATOR_RISE ? "plus the oscillator's high time" : "less the oscillator's high time";
  return `${whole === "" ? "" : `${whole}, `}${share}, ${percent(time.duty.min)} to ${percent(time.duty.max)} of a period`;
}

function edgeName({ outside }: Model, root: Root): string {
  const name = outside[(root - FIRST_OUTSIDE_ROOT) >> 1]?.net.net.name ?? "outside";
  return `${(root - FIRST_OUTSIDE_ROOT) % 2 === 0 ? "rise" : "fall"} of ${name}`;
}

function percent(share: number): string {
  return `${Number((100 * share).toFixed(1))} %`;
}
