import type { Limit, Outcome, WhatIf } from "../planning/index.js";
import { inNs } from "../quantity/index.js";

/**
 * A board tried otherwise, as data for other programs. Margins and wires in nanoseconds, frequencies in hertz.
 *
 * - `now`: `state`, `margin` and `at` (the least margin and its verdict), `failing`
 * - `clock`: `now`, `highest` at which everything holds, `stops` (the verdict that falls short beyond it), `isExact` (it falls
 *   short at once), `stockMHz`; `wires`: `now`, `longest`, `stops`, `isExact`
 * - `swaps`: other parts for one chip, the one that lets the clock go highest first: `chip`, `from`, `to`, `highest`, `stops`
 * - `tried`: `what`, `value`, `state` (`holds`, `fails`, `not covered`, `not tried`), `failing`, `margin`, `at`, `moved`: of the
 *   verdicts whose margin it moves the tightest `verdict`, with its margin `before` and `after`
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
      },
    }),
    wires: {
      now: inNs(wires.now),
      longest: wires.value === undefined ? undefined : wires.value / 1e6,
      ...stopData(wires),
    },
    swaps: swaps.map(({ swap: { chip, from, to, differences }, clock: limit }) => ({
      ...{ chip, from, to, differences },
      highest: limit.value === undefined ? undefined : Math.floor(limit.value),
      ...stopData(limit),
    })),
    tried: tried.map(({ variation: { what, value }, state, failing, tightest, moved }) => ({
      ...{ what, value, state, failing },
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

function stopData({ binding, isExact }: Limit) {
  return { ...(binding && { stops: binding.name }), isExact };
}
