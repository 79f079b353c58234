import type { CaptureDeparture, NetDeparture, NotAligned } from "./first-departure.js";

/** Where a capture departs, in lines for somebody at the bench. */
export function departureLines(
  departure: CaptureDeparture | NotAligned,
  nameOf: (net: number) => string,
): readonly string[] {
  if ("problem" in departure) return [`Not compared edge by edge: ${departure.problem}.`];
  const { nets, compared, drift, leftOut } = departure;
  const [leader] = nets;
  const width = Math.max(...nets.map(({ net }) => nameOf(net).length));
  const isAny = nets.some(({ first }) => first);
  return [
    leader?.first
      ? `${nameOf(leader.net)} departs first: ${departureText(leader.first)}.`
      : "Edge by edge it goes with the board without faults.",
    drift
      ? `Compared was all of it, ${timeText(compared)}${driftText(drift)}:`
      : `Compared were ${timeText(compared)} from its begin:`,
    ...nets.map(({ net, share, edges, first }) => {
      const agree = edges === 0 ? "no edges, as it should" : `${shareText(share)} of ${edges} edges agree`;
      return `  ${nameOf(net).padEnd(width)}  ${agree}${first ? `; first: ${departureText(first)}` : ""}`;
    }),
    ...(isAny && nets.some(({ first }) => first?.place)
      ? ["Lines count from the start of vertical sync, dots from that of horizontal sync, both from 0."]
      : []),
    ...(leftOut.length > 0
      ? [`Left out, since memory, inputs or the clock itself decide: ${leftOut.map(nameOf).join(", ")}.`]
      : []),
  ];
}

function departureText({ kind, to, seconds, by, place }: NetDeparture): string {
  const edge = to === 1 ? "rise" : "fall";
  const off = by === undefined ? "" : ` ${timeText(by)}`;
  const what = {
    missing: `no ${edge} where one should be`,
    extra: `a ${edge} where none should be`,
    late: `a ${edge}${off} late`,
    early: `a ${edge}${off} early`,
  }[kind];
  const line = place?.line === undefined ? "in a line that the capture does not tell" : `in line ${place.line}`;
  return `${what}${place ? ` ${line} at dot ${place.dot}` : ""}, ${timeText(seconds)} into the capture`;
}

/** Less than this comes of single samples, in parts per million. */
const LEAST_DRIFT = 5;

function driftText([least, most]: readonly [number, number]): string {
  const [slow, fast] = [least, most].map((share) => Math.round(share * 1e6));
  if (slow === undefined || fast === undefined || fast - slow < LEAST_DRIFT) return "";
  return `, over which the clocks drifted by ${fast - slow} ppm against each other`;
}

/** Never all where some do not agree. */
function shareText(share: number): string {
  return share === 1 ? "all" : `${(Math.floor(share * 1000) / 10).toFixed(1)} %`;
}

function timeText(seconds: number): string {
  const [unit, size] = seconds >= 1e-3 ? ["ms", 1e-3] : seconds >= 1e-6 ? ["µs", 1e-6] : ["ns", 1e-9];
  return `${(seconds / size).toFixed(unit === "ns" ? 0 : 3)} ${unit}`;
}
