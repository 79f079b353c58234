import type { Circuit } from "../circuit/index.js";
import type { Change } from "../parts/index.js";
import { type Fs, formatTime, fs } from "../quantity/index.js";
import type { ChainStart, ChainStep, Proof, Verdict } from "../timing/index.js";
import type { CycleDrawing, Lane, LaneEdge, LaneLevel, LaneSegment, PathStep } from "./cycle-drawing.js";
import { verdictBrackets } from "./verdict-brackets.js";

/** A change on a net as the chains of a verdict have it. Times in fs from the edge that the earlier chain starts at. */
interface ChainEdge {
  readonly net: string;
  readonly earliest: number;
  readonly latest: number;
  /** When it comes at the limits that the margin counts with. */
  readonly counted: number;
  readonly from: LaneLevel;
  readonly to: LaneLevel;
}

/** More ticks than this are left out of the ruler. */
const MOST_TICKS = 200;

/**
 * The two chains of delays that set a verdict's margin, as a timing drawing: every net on the way in a lane of its own, every
 * change from its earliest to its latest, the way itself along the limits that count, and what is required and available at
 * its end. Undefined where no time decides.
 */
export function chainDrawing(circuit: Circuit, verdict: Verdict, period?: Proof["period"]): CycleDrawing | undefined {
  const { chains, available, required } = verdict;
  if (!chains || available === undefined || required === undefined) return undefined;
  const { between } = chains;
  const oscillator = circuit.chips.flatMap(({ part: { behaviour }, nets }) => {
    const net = behaviour.clockSource && nets.get(behaviour.clockSource.pin)?.name;
    return net === undefined ? [] : [net];
  })[0];
  const earlier = follow(circuit, chains.earlier, startEdge(between.earlier, oscillator, 0));
  const later = follow(circuit, chains.later, startEdge(between.later, oscillator, between.time));
  const edges = [...earlier.edges, ...later.edges];
  const [first, last] = [earlier.arrives, later.arrives];
  const names = [...new Set([...edges.map(({ net }) => net), ...(verdict.net === "" ? [] : [verdict.net])])];
  const lane = names.includes(verdict.net) ? verdict.net : (earlier.edges.at(-1)?.net ?? verdict.net);
  const brackets = verdictBrackets(verdict, lane, first, last);
  const ends = brackets.flatMap(({ from, to }) => [from, to]);
  const low = Math.min(0, ...ends, ...edges.map(({ earliest }) => earliest));
  const high = Math.max(...ends, ...edges.map(({ latest }) => latest));
  const room = Math.max((high - low) * 0.06, 1_000_000);
  const [begin, end] = [low - room, high + room];
  const at = (time: number) => fs(Math.round(time - begin));
  const span = at(end);
  return {
    title: `How ${verdict.name} comes about`,
    span,
    ticks: ticksBetween(begin, end, period).map(at),
    lanes: names.map((name): Lane => laneOf(name, edges, name === oscillator ? "clock" : "signal", at, span)),
    brackets: brackets.map(({ from, to, ...rest }) => ({
      ...rest,
      from: at(Math.min(from, to)),
      to: at(Math.max(from, to)),
    })),
    path: [...earlier.path, ...later.path].map(({ from, to, ...rest }) => ({ ...rest, from: at(from), to: at(to) })),
    note: "Edges span the whole of their limits; the way stands at the limits that the margin counts with. What both ways share counts on neither. Other changes of these nets are left out.",
  };
}

type LoosePath = Omit<PathStep, "from" | "to"> & { readonly from: number; readonly to: number };

interface Followed {
  readonly edges: readonly ChainEdge[];
  readonly path: readonly LoosePath[];
  /** When the change reaches the pin at which it is judged. */
  readonly arrives: number;
}

function startEdge({ edge, outside }: ChainStart, oscillator: string | undefined, time: number): ChainEdge {
  const [from, to] = edge === "rise" ? ([0, 1] as const) : ([1, 0] as const);
  return { net: outside ?? oscillator ?? "", earliest: time, latest: time, counted: time, from, to };
}

/** Adds up a chain; wires go with the chip that they lead to. */
function follow(circuit: Circuit, chain: readonly ChainStep[], start: ChainEdge): Followed {
  const edges: ChainEdge[] = start.net === "" ? [] : [start];
  const path: LoosePath[] = [];
  let at = start;
  let { earliest, latest, counted } = start;
  let wires = 0;
  for (const step of chain) {
    const adds = step.cancelled ? step.min : step[step.used];
    earliest += step.min;
    latest += step.max;
    counted += adds;
    const net = step.kind === "arc" ? netAt(circuit, step.chip, step.to) : undefined;
    if (net === undefined) {
      wires += adds;
      continue;
    }
    const [from, to] = levelsOf(step.change);
    const edge = { net, earliest, latest, counted, from, to };
    const wire = wires > 0 ? `, wire ${formatTime(fs(wires))}` : "";
    const label = `${step.chip} ${step.from} to ${step.to} ${formatTime(fs(adds))}${wire}${step.cancelled ? ", on both ways" : ""}`;
    if (at.net !== "") path.push({ fromLane: at.net, toLane: net, from: at.counted, to: counted, label });
    edges.push(edge);
    at = edge;
    wires = 0;
  }
  return { edges, path, arrives: counted };
}

function netAt({ chips }: Circuit, ref: string, pin: string): string | undefined {
  return chips.find((chip) => chip.ref === ref)?.nets.get(pin)?.name;
}

function levelsOf(change: Change | undefined): readonly [LaneLevel, LaneLevel] {
  switch (change) {
    case "rise":
      return [0, 1];
    case "fall":
      return [1, 0];
    case "z-to-high":
    case "z-to-low":
      return ["z", "steady"];
    case "high-to-z":
    case "low-to-z":
      return ["steady", "z"];
    case undefined:
      return ["steady", "steady"];
  }
}

/** A lane with its changes in order; changes that overlap become one stretch in which the net may change. */
function laneOf(name: string, all: readonly ChainEdge[], kind: Lane["kind"], at: (time: number) => Fs, span: Fs): Lane {
  const changes = all
    .filter(({ net }) => net === name)
    .sort((a, b) => a.earliest - b.earliest)
    .reduce<readonly ChainEdge[]>((merged, edge) => {
      const before = merged.at(-1);
      if (!before || before.latest < edge.earliest) return [...merged, edge];
      const isSame = before.earliest === edge.earliest && before.latest === edge.latest;
      const whole = { ...before, latest: Math.max(before.latest, edge.latest) };
      return [...merged.slice(0, -1), isSame ? whole : { ...whole, to: edge.to }];
    }, []);
  const edges: LaneEdge[] = [];
  const segments: LaneSegment[] = [];
  let since = fs(0);
  for (const [index, change] of changes.entries()) {
    const before = changes[index - 1];
    // Between two changes of the same kind the net has come back without anybody looking.
    const level: LaneLevel = before && before.to !== change.from ? "steady" : change.from;
    const [earliest, latest] = [at(change.earliest), at(change.latest)];
    segments.push({ from: since, to: earliest, level });
    edges.push({ earliest, latest, from: level, to: change.to });
    since = latest;
  }
  segments.push({ from: since, to: span, level: changes.at(-1)?.to ?? "steady" });
  return { name, kind, segments, edges };
}

/** Edges of the oscillator, counted from that of the earlier chain. */
function ticksBetween(begin: number, end: number, period: Proof["period"]): readonly number[] {
  if (!period) return [];
  const length = (period.min + period.max) / 2;
  const first = Math.ceil(begin / length);
  const count = Math.floor(end / length) - first + 1;
  if (count > MOST_TICKS) return [];
  return Array.from({ length: Math.max(0, count) }, (_, index) => (first + index) * length);
}
