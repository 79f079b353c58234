import type { NetId } from "../../circuit/circuit.js";
import type { Scenario } from "../signature/scenario.js";
import { type Aligned, type AlignedNet, align } from "./align.js";
import { CaptureFollower } from "./capture-follower.js";
import type { ChannelEdges } from "./captured-edges.js";
import type { ComparedCapture } from "./compare.js";
import { type FrameModel, type FramePlace, frameModelOf } from "./frame-model.js";
import type { Departure, MatchedEdges, Tolerances } from "./match-edges.js";

/** What of a capture is compared edge by edge: its begin. */
export interface CapturedBegin {
  readonly channels: ReadonlyMap<string, ChannelEdges>;
  /** Seconds from sample to sample, as far as known. */
  readonly sample: number;
}

/** How a net of the capture goes with the model. */
export interface NetAgreement {
  readonly net: NetId;
  /** Edges of capture and model that agree, as a share of all. */
  readonly share: number;
  readonly edges: number;
  /** Its first departure, where there is one. */
  readonly first?: NetDeparture;
}

export interface NetDeparture {
  readonly kind: Departure["kind"] | "late" | "early";
  readonly to: 0 | 1;
  /** Seconds from the begin of the capture. */
  readonly seconds: number;
  /** Seconds, of what is late or early. */
  readonly by?: number;
  /** Only the dot is known where all lines on record look alike. */
  readonly place?: Partial<FramePlace> & Pick<FramePlace, "dot">;
}

/** Where a capture departs from the board without faults. */
export interface CaptureDeparture {
  /** Nets by the time of their first departure; those without one last. */
  readonly nets: readonly NetAgreement[];
  /** Seconds of the capture that were compared. */
  readonly compared: number;
  /** By how much its clock ran slower and faster than at its begin, as shares, where it was followed. */
  readonly drift?: readonly [least: number, most: number];
  /** Nets that do not repeat with the frame whatever is in memory and comes from outside. */
  readonly leftOut: readonly NetId[];
}

/** Why nothing can be compared. */
export interface NotAligned {
  readonly problem: string;
}

export interface DepartureOptions {
  /** By how much edges may come off the model's by the chips' delays, in seconds. */
  readonly delays?: number;
}

/** Half an oscillator period, and the delay of some chips in a row: 50 ns. Our own choice. */
const USUAL_DELAYS = 50e-9;

/** How many seconds of a capture are compared edge by edge: two frames, with an instrument's clock that is off. */
export function comparedSeconds({ frameEdges, edgeFs }: Pick<Scenario, "frameEdges" | "edgeFs">): number {
  return (2.1 * frameEdges * edgeFs) / 1e15;
}

/** The begin of a capture where it lies in the board's frame. */
export interface AlignedBegin {
  readonly model: FrameModel;
  readonly nets: readonly (AlignedNet & { readonly channel: string })[];
  readonly aligned: Aligned;
  readonly tolerances: Tolerances;
  readonly leftOut: readonly NetId[];
}

/** Finds where in the frame of the board without faults a capture begins. */
export function alignBegin(
  scenario: Pick<Scenario, "circuit" | "edgeFs" | "frameEdges" | "raster">,
  { channels: compared, clockError = 0 }: ComparedCapture,
  { channels, sample }: CapturedBegin,
  { delays }: DepartureOptions = {},
): AlignedBegin | NotAligned {
  const taken = compared.flatMap(({ channel, net }) => {
    const edges = channels.get(channel.name);
    const id = scenario.circuit.nets[net]?.id;
    return edges && id !== undefined ? [{ channel: channel.name, net: id, edges }] : [];
  });
  if (taken.length === 0) return { problem: "no channel is on a net of the circuit" };
  const model = frameModelOf(
    scenario,
    taken.map(({ net }) => net),
  );
  if (!model) return { problem: "no net of the capture repeats on the board without faults" };
  const nets = taken.flatMap((one) => {
    const wave = model.waves.get(one.net);
    return wave ? [{ ...one, wave }] : [];
  });
  const { period } = model;
  const scale = (1 + clockError) / period;
  const samples = Math.min(sample, period) / period;
  const allowed = (delays ?? period / 2 + USUAL_DELAYS) / period;
  const tolerances = { edge: samples + allowed, pulse: Math.max(2 * samples, allowed) };
  const aligned = align(nets, model, scale, tolerances);
  if (!aligned) return { problem: "nowhere in the frame does it go with the board without faults" };
  const leftOut = taken.filter(({ net }) => !model.waves.has(net)).map(({ net }) => net);
  return { model, nets, aligned, tolerances, leftOut };
}

/** Follows the rest of a capture, read once more from its begin. */
export function followerOf({ model, nets, aligned, tolerances }: AlignedBegin): CaptureFollower {
  const waves = new Map(nets.map(({ channel, wave }) => [channel, wave]));
  return new CaptureFollower({ waves, cycle: model.cycle, alignment: aligned.alignment, tolerances });
}

/** Says which net of a capture departs first from the board without faults, and where in the frame; of its begin without `follower`. */
export function departureOf(begin: AlignedBegin, follower?: CaptureFollower): CaptureDeparture {
  const { model, nets, aligned, leftOut } = begin;
  const { alignment, matches, others } = aligned;
  const followed = follower?.end();
  const agreements = nets.map(({ net, channel }, index): NetAgreement => {
    const match = matches[index] as MatchedEdges;
    const whole = followed?.get(channel);
    const [agree, departed] = whole ? [whole.matched, whole.departed] : [match.matched.length, match.departures.length];
    const first = whole
      ? firstOf(whole.first, model, whole.alignment, others)
      : firstOf(match.departures, model, alignment, others);
    return {
      net,
      share: agree + departed === 0 ? 1 : agree / (agree + departed),
      edges: agree + departed,
      ...(first && { first }),
    };
  });
  return {
    nets: agreements.sort((a, b) => (a.first?.seconds ?? Infinity) - (b.first?.seconds ?? Infinity)),
    compared: follower?.seconds ?? Math.max(...nets.map(({ edges }) => edges.until)),
    ...(follower && { drift: follower.drift }),
    leftOut,
  };
}

/** The same of the begin alone. */
export function firstDepartureOf(...given: Parameters<typeof alignBegin>): CaptureDeparture | NotAligned {
  const begin = alignBegin(...given);
  return "problem" in begin ? begin : departureOf(begin);
}

function firstOf(
  departures: readonly Departure[],
  model: FrameModel,
  { offset, scale }: { readonly offset: number; readonly scale: number },
  others: readonly number[],
): NetDeparture | undefined {
  const [first, second] = departures;
  if (!first) return undefined;
  // The same edge at another time, with nothing of the net's own between the two.
  const isMoved = second !== undefined && second.to === first.to && second.kind !== first.kind;
  const place = placeOf(model, first.time, others);
  return {
    kind: isMoved ? (first.kind === "missing" ? "late" : "early") : first.kind,
    to: first.to,
    seconds: (first.time - offset) / scale,
    ...(isMoved && { by: (second.time - first.time) / scale }),
    ...(place && { place }),
  };
}

/** The place as far as all places that agree tell it. */
function placeOf(model: FrameModel, time: number, others: readonly number[]): NetDeparture["place"] {
  const place = model.placeOf(time);
  if (!place) return undefined;
  const elsewhere = others.map((other) => model.placeOf(time + other));
  const isDotSure = elsewhere.every((one) => one && Math.abs(one.dot - place.dot) <= 1);
  if (!isDotSure) return undefined;
  return elsewhere.every((one) => one?.line === place.line) ? place : { dot: place.dot };
}
