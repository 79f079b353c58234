import { type Curve, type Limit, type Outcome, type WhatIf, clockCurve, wireCurve } from "../planning/index.js";
import { inNs } from "../quantity/index.js";

/**
 * A board tried otherwise, as data for other programs. Margins and wires in nanoseconds, frequencies in hertz.
 *
 * - `now`: `state`, `margin` and `at` (the least margin and its verdict), `failing`
 * - `clock`: `now`, `highest` at which everything holds, `stops` (the verdict that falls short beyond it), `isExact` (it falls
 *   short at once), `stockMHz`; `wires`: `now`, `longest`, `stops`, `isExact`
 * - `swaps`: other parts for one chip, the one that lets the clock go highest first: `chip`, `from`, `to`, `highest`, `stops`
 * - `tried`: `what`, `value`, `state` (`holds`, `fails`, `not covered`, `not tried`), `failing`, `margin`, `at`, `moved`: of the
 *   verdicts whose margin it moves the tightest `verdict`, with its margin `before` and `after`; `levels` that fail; `lacking`:
 *   parts of which no sheet has figures there; `isWithin`: it was not proved, for every board of it is one of those that were
 *   proved to hold, so that `margin` is the least it can be, and `after` is by the chains
 * - `margins` of the clock and of the wires: the least margin `at` a frequency or a delay, as `proved`, and as the chains of these
 *   proofs leave it in between (`byChains`)
 * - `proofs` that were run; `isComplete`: the time was enough for everything
 */
export function whatIfData({ now, clock, wires, swaps, tried, proofs, isComplete }: WhatIf) {
  return {
    now: { state: now.state, failing: now.failing.length + now.electrical.length, ...leastData(now) },
    ...(clock && {
      clock: {
        now: clock.now,
        highest: clock.value === undefined ? undefined : Math.floor(clock.value),
        ...stopData(clock),
        stockMHz: clock.stock,
        margins: curveData(clockCurve(clock), Math.round),
      },
    }),
    wires: {
      now: inNs(wires.now),
      longest: wires.value === undefined ? undefined : wires.value / 1e6,
      ...stopData(wires),
      margins: curveData(wireCurve(wires), (value) => value / 1e6),
    },
    swaps: swaps.map(({ swap: { chip, from, to, differences }, clock: limit }) => ({
      ...{ chip, from, to, differences },
      highest: limit.value === undefined ? undefined : Math.floor(limit.value),
      ...stopData(limit),
    })),
    tried: tried.map(({ variation: { what, value }, state, failing, tightest, moved, isWithin, lacking, levels }) => ({
      ...{ what, value, state, failing, isWithin },
      ...(lacking && { lacking }),
      ...(levels.length > 0 && { levels }),
      ...leastData({ ...(tightest && { tightest }) }),
      ...(moved && { moved: { verdict: moved.name, before: inNs(moved.before), after: inNs(moved.after) } }),
    })),
    proofs,
    isComplete,
  };
}

function leastData({ tightest }: Pick<Outcome, "tightest">) {
  return tightest ? { margin: inNs(tightest.margin), at: tightest.name } : {};
}

function curveData({ proved, line }: Curve, unit: (value: number) => number) {
  const points = (list: Curve["line"]) => list.map(({ value, margin }) => ({ at: unit(value), margin: margin / 1e6 }));
  return { proved: points(proved), byChains: points(line) };
}

function stopData({ binding, isExact }: Limit) {
  return { ...(binding && { stops: binding.name }), isExact };
}
