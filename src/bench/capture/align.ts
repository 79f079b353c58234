import type { NetId } from "../../circuit/circuit.js";
import type { ChannelEdges } from "./captured-edges.js";
import { MOST_CLOCK_ERROR } from "./compare.js";
import type { CyclicWave, FrameModel } from "./frame-model.js";
import {
  type Alignment,
  type MatchedEdges,
  type Tolerances,
  edgeLevel,
  edgeTime,
  firstEdgeFrom,
  matchEdges,
  withoutGlitches,
} from "./match-edges.js";

/** A channel and what its net does in the model. */
export interface AlignedNet {
  readonly net: NetId;
  readonly edges: ChannelEdges;
  readonly wave: CyclicWave;
}

export interface Aligned {
  readonly alignment: Alignment;
  readonly matches: readonly MatchedEdges[];
  /** Other places in the cycle that agree as well, as times from this one in oscillator periods. */
  readonly others: readonly number[];
}

/** Edges of a channel that are looked at to find the likely places, and places that are looked at in full. */
const LOOKED_AT = 24;
const PLACES = 24;
/** Edges of a net in a cycle: with more of them it says little of where in the frame it is. */
const MOST_EDGES = 6000;
/** A net must agree so far, with so many edges, for the capture to be aligned at all. Our own choice. */
const LEAST_SHARE = 0.8;
const LEAST_EDGES = 6;
/** Of the cycle: where edges within the tolerance of the model's are this common, agreement says nothing. */
const MOST_BY_CHANCE = 0.5;

/**
 * Finds where in the model's cycle a capture begins, and how fast its clock runs. `scale`: oscillator periods in a second of the
 * capture, as far as rates tell. Each net counts alike. Undefined where no place agrees.
 */
export function align(
  captured: readonly AlignedNet[],
  { cycle }: FrameModel,
  scale: number,
  tolerances: Tolerances,
): Aligned | undefined {
  const nets = captured.map((one) => ({
    ...one,
    edges: withoutGlitches(one.edges, one.wave, cycle, scale, tolerances.pulse),
  }));
  const scales = [scale, ...nets.flatMap((one) => scaleByIntervals(one, scale) ?? [])];
  const starts = nets.flatMap((one) => scales.flatMap((own) => beginnings(one, cycle, own)));
  const begun = starts.map((alignment) => ({
    alignment,
    score: roughScore(nets, cycle, alignment, 2 * tolerances.edge),
  }));
  begun.sort((a, b) => b.score - a.score);
  const places: { readonly alignment: Alignment; readonly matches: readonly MatchedEdges[]; readonly score: number }[] =
    [];
  for (const { alignment } of begun) {
    if (places.length === PLACES) break;
    const wide = { ...tolerances, edge: 2 * tolerances.edge };
    const refined = refine(nets, cycle, refine(nets, cycle, alignment, wide), tolerances);
    if (places.some((one) => apart(one.alignment, refined, cycle) < tolerances.edge)) continue;
    const matches = nets.map(({ edges, wave }) => matchEdges(edges, wave, cycle, refined, tolerances));
    places.push({ alignment: refined, matches, score: matches.reduce((sum, one) => sum + shareOf(one), 0) });
  }
  places.sort((a, b) => b.score - a.score);
  const [best] = places;
  if (!best) return undefined;
  const isSure = nets.some(({ wave }, index) => {
    const match = best.matches[index];
    const byChance = (2 * tolerances.edge * wave.times.length) / 2 / cycle;
    return match && byChance < MOST_BY_CHANCE && match.matched.length >= LEAST_EDGES && shareOf(match) >= LEAST_SHARE;
  });
  if (!isSure) return undefined;
  const { alignment, matches } = best;
  const others = places.slice(1).filter(({ score }) => score > best.score - 1e-9);
  return { alignment, matches, others: others.map((one) => one.alignment.offset - alignment.offset) };
}

/** The share of edges of capture and model that agree; 1 where there are none. */
export function shareOf({ matched, departures }: MatchedEdges): number {
  const all = matched.length + departures.length;
  return all === 0 ? 1 : matched.length / all;
}

/** Places at which the first edge of a channel is one of the model's; by the rates' clock, and by as many edges as there are. */
function beginnings({ edges, wave }: AlignedNet, cycle: number, scale: number): readonly Alignment[] {
  const { times, first } = edges;
  const count = wave.times.length;
  if (count === 0 || count > MOST_EDGES) return [];
  const [begin] = times;
  const end = times.at(-1);
  if (begin === undefined || end === undefined) return [];
  const found: Alignment[] = [];
  for (let edge = 0; edge < count; edge++) {
    if (edgeLevel(wave, edge) !== first) continue;
    const time = edgeTime(wave, cycle, edge);
    found.push({ scale, offset: time - scale * begin });
    const own = (edgeTime(wave, cycle, edge + times.length - 1) - time) / (end - begin);
    const isNear = times.length > 2 && Math.abs(own / scale - 1) < MOST_CLOCK_ERROR;
    if (isNear) found.push({ scale: own, offset: time - own * begin });
  }
  return found;
}

/**
 * The clock by the usual interval from one edge to the next one that goes the same way: single edges that are missing or extra
 * do not move it, as they do a rate. Undefined where it is further off than clocks are.
 */
function scaleByIntervals({ edges, wave }: AlignedNet, scale: number): number | undefined {
  const [seen, usual] = [intervals(edges.times), intervals(wave.times)];
  const [median, model] = [seen[seen.length >> 1], usual[usual.length >> 1]];
  if (median === undefined || model === undefined) return undefined;
  const like = seen.filter((one) => Math.abs(one / median - 1) < MOST_CLOCK_ERROR);
  const own = (model * like.length) / like.reduce((sum, one) => sum + one, 0);
  return Math.abs(own / scale - 1) < MOST_CLOCK_ERROR ? own : undefined;
}

/** From each edge to the next but one, in rising order. */
function intervals(times: ArrayLike<number>): Float64Array {
  const count = Math.max(0, times.length - 2);
  return Float64Array.from(
    { length: count },
    (_, edge) => (times[edge + 2] as number) - (times[edge] as number),
  ).sort();
}

/** How many channels' worth of edges agree, from some edges of each. */
function roughScore(
  nets: readonly AlignedNet[],
  cycle: number,
  { offset, scale }: Alignment,
  tolerance: number,
): number {
  let score = 0;
  for (const { edges, wave } of nets) {
    const { times, first } = edges;
    const looked = Math.min(LOOKED_AT, times.length);
    let agree = 0;
    for (let look = 0; look < looked; look++) {
      const index = Math.floor((look * times.length) / looked);
      const time = offset + scale * (times[index] as number);
      const near = firstEdgeFrom(wave, cycle, time - tolerance);
      const to = index % 2 === 0 ? first : first === 1 ? 0 : 1;
      const edge = edgeLevel(wave, near) === to ? near : near + 1;
      if (edgeTime(wave, cycle, edge) <= time + tolerance) agree++;
    }
    if (looked > 0) score += agree / looked;
  }
  return score;
}

/** Clock and place by least squares over the edges that agree, each net with the same weight. */
export function refine(
  nets: readonly Omit<AlignedNet, "net">[],
  cycle: number,
  alignment: Alignment,
  tolerances: Tolerances,
): Alignment {
  let [w, x, y, xx, xy] = [0, 0, 0, 0, 0];
  for (const { edges, wave } of nets) {
    const { matched } = matchEdges(edges, wave, cycle, alignment, tolerances);
    for (const { seconds, model } of matched) {
      const weight = 1 / matched.length;
      // About the place so far: sums of squares of large times would lose digits.
      const off = model - alignment.offset - alignment.scale * seconds;
      w += weight;
      x += weight * seconds;
      y += weight * off;
      xx += weight * seconds * seconds;
      xy += weight * seconds * off;
    }
  }
  if (w === 0) return alignment;
  const spread = xx - (x * x) / w;
  const slope = spread > 0 ? (xy - (x * y) / w) / spread : 0;
  const isNear = Math.abs(slope) < MOST_CLOCK_ERROR * alignment.scale;
  const own = isNear ? slope : 0;
  return { scale: alignment.scale + own, offset: alignment.offset + (y - own * x) / w };
}

function apart(one: Alignment, other: Alignment, cycle: number): number {
  const turns = (one.offset - other.offset) / cycle;
  return Math.abs(turns - Math.round(turns)) * cycle;
}
