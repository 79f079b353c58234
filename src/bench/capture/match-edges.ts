import type { ChannelEdges } from "./captured-edges.js";
import { type CyclicWave, edgesBefore } from "./frame-model.js";

/** Where moments of a capture are in the model: model time = offset + scale · seconds, in oscillator periods. */
export interface Alignment {
  readonly offset: number;
  readonly scale: number;
}

/** How edges are compared, in oscillator periods. */
export interface Tolerances {
  /** By how much an edge may come earlier or later than the model's. */
  readonly edge: number;
  /** Pulses that are shorter are ignored: the instrument may have missed or made them, or delays may. */
  readonly pulse: number;
}

/** An edge that only one of capture and model has; in oscillator periods of the model. */
export interface Departure {
  readonly kind: "missing" | "extra";
  readonly time: number;
  readonly to: 0 | 1;
}

export interface MatchedEdges {
  readonly matched: readonly { readonly seconds: number; readonly model: number }[];
  /** In order of time. */
  readonly departures: readonly Departure[];
}

/** Compares what a channel did with what its net does in the model, in order of time. */
export function matchEdges(
  edges: ChannelEdges,
  wave: CyclicWave,
  cycle: number,
  { offset, scale }: Alignment,
  tolerances: Tolerances,
): MatchedEdges {
  const { times, first, from, until } = edges;
  const [begin, end] = [offset + scale * from + tolerances.edge, offset + scale * until - tolerances.edge];
  const { edge: tolerance } = tolerances;
  const matched: { seconds: number; model: number }[] = [];
  const departures: Departure[] = [];
  let next = firstEdgeFrom(wave, cycle, offset + scale * from - tolerance);
  const depart = (kind: Departure["kind"], time: number, to: 0 | 1) => {
    if (time >= begin && time <= end) departures.push({ kind, time, to });
  };
  const miss = () => {
    if (!isShort(wave, cycle, next, tolerances.pulse))
      depart("missing", edgeTime(wave, cycle, next), edgeLevel(wave, next));
    next++;
  };
  for (const [index, seconds] of times.entries()) {
    const time = offset + scale * seconds;
    const to = index % 2 === 0 ? first : first === 1 ? 0 : 1;
    while (edgeTime(wave, cycle, next) < time - tolerance) miss();
    // Of two edges of the model that are near, the one that goes the same way.
    if (edgeLevel(wave, next) !== to && Math.abs(edgeTime(wave, cycle, next + 1) - time) <= tolerance) miss();
    const model = edgeTime(wave, cycle, next);
    if (edgeLevel(wave, next) === to && Math.abs(model - time) <= tolerance) {
      if (model >= begin && model <= end) matched.push({ seconds, model });
      next++;
    } else {
      depart("extra", time, to);
    }
  }
  while (edgeTime(wave, cycle, next) <= end) miss();
  return { matched, departures };
}

/** Time of an edge, counted on through the cycles. */
export function edgeTime({ times }: CyclicWave, cycle: number, edge: number): number {
  const count = times.length;
  if (count === 0) return Infinity;
  const round = Math.floor(edge / count);
  return (times[edge - round * count] as number) + round * cycle;
}

/** The level after an edge: a cycle has as many rises as falls. */
export function edgeLevel({ first }: CyclicWave, edge: number): 0 | 1 {
  return Math.abs(edge % 2) === 0 ? first : first === 1 ? 0 : 1;
}

/** The first edge that is not before a time. */
export function firstEdgeFrom({ times }: CyclicWave, cycle: number, time: number): number {
  const round = Math.floor(time / cycle);
  return round * times.length + edgesBefore(times, time - round * cycle);
}

function isShort(wave: CyclicWave, cycle: number, edge: number, pulse: number): boolean {
  const at = (one: number) => edgeTime(wave, cycle, one);
  return at(edge + 1) - at(edge) < pulse || at(edge) - at(edge - 1) < pulse;
}

/** Leaves pulses out that are shorter than `pulse` oscillator periods, `scale` of them a second, and shorter than half of the shortest of the net in the model. */
export function withoutGlitches(
  edges: ChannelEdges,
  wave: CyclicWave,
  cycle: number,
  scale: number,
  pulse: number,
): ChannelEdges {
  const { times } = edges;
  let shortest = pulse;
  for (let edge = 0; edge < wave.times.length; edge++) {
    shortest = Math.min(shortest, (edgeTime(wave, cycle, edge + 1) - edgeTime(wave, cycle, edge)) / 2);
  }
  const kept: number[] = [];
  for (const [index, time] of times.entries()) {
    const last = kept.at(-1);
    const length = last === undefined ? Infinity : time - last;
    const following = (times[index + 1] ?? Infinity) - time;
    // Of an edge and a spike beside it the edge stays. Two edges that are left out together leave the levels alternating.
    if (length * scale < shortest && length <= following) kept.pop();
    else kept.push(time);
  }
  return { ...edges, times: kept };
}
