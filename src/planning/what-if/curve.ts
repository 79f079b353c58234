import type { Verdict } from "../../timing/index.js";
import { countsAgainst } from "../../verdict/index.js";
import type { Limit } from "./limit.js";
import { type TimedVerdict, isTimed } from "./outcome.js";
import { marginAtClock, marginAtWires } from "./reach.js";
import { scaled } from "./scaled.js";
import type { ClockLimit, WireLimit } from "./what-if.js";

/** A value with the least margin at it, in femtoseconds. */
export interface CurvePoint {
  readonly value: number;
  readonly margin: number;
}

/** The least margin against a quantity. */
export interface Curve {
  readonly now: number;
  /** As proved. */
  readonly proved: readonly CurvePoint[];
  /** What the chains of these proofs leave in between and beyond; another chain may leave less. */
  readonly line: readonly CurvePoint[];
}

/** Points of a line. */
const POINTS = 60;

/** The least margin against the oscillator's frequency in hertz. */
export function clockCurve(clock: ClockLimit): Curve {
  const { now, value = now, oscillation } = clock;
  const at = (verdict: TimedVerdict, from: number, to: number) =>
    marginAtClock(verdict, from, to, scaled(oscillation, from));
  return curveOf(clock, now, [0.85 * Math.min(now, value), 1.1 * Math.max(now, value)], at);
}

/** The least margin against the longest delay of a wire in femtoseconds. */
export function wireCurve(wires: WireLimit): Curve {
  const { now, value = now } = wires;
  return curveOf(wires, now, [0, 1.2 * Math.max(now, value)], marginAtWires);
}

function curveOf(
  { proved }: Limit,
  now: number,
  [from, to]: readonly [number, number],
  at: (verdict: TimedVerdict, provedAt: number, value: number) => number,
): Curve {
  const timed = proved.map(({ value, outcome }) => ({ value, verdicts: outcome.verdicts.filter(counts) }));
  const marginOf = (value: number) =>
    timed.reduce(
      (least, { value: provedAt, verdicts }) =>
        verdicts.reduce((lower, verdict) => Math.min(lower, at(verdict, provedAt, value)), least),
      Infinity,
    );
  const known = proved.filter(({ outcome }) => outcome.tightest !== undefined);
  const values = [
    ...Array.from({ length: POINTS + 1 }, (_, index) => from + ((to - from) * index) / POINTS),
    ...known.map(({ value }) => value).filter((value) => value >= from && value <= to),
  ].sort((a, b) => a - b);
  return {
    now,
    proved: known
      .map(({ value, outcome }) => ({ value, margin: outcome.tightest?.margin ?? 0 }))
      .sort((a, b) => a.value - b.value),
    line: values.map((value) => ({ value, margin: marginOf(value) })).filter(({ margin }) => Number.isFinite(margin)),
  };
}

/** Whether a verdict's margin is one that counts. */
function counts(verdict: Verdict): verdict is TimedVerdict {
  return isTimed(verdict) && (verdict.state === "holds" || countsAgainst(verdict));
}
