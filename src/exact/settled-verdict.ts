import { fs } from "../quantity/index.js";
import type { BoardDelay, Verdict } from "../timing/index.js";
import { certify } from "./certify.js";
import type { Decided } from "./decide.js";
import type { Board } from "./programme.js";
import type { Unknowns } from "./unknowns.js";
import type { Certainty } from "./unrolling.js";

/** Whether a decided time is more than the bound says. */
export function isBetter({ available, allowance }: Verdict, { least }: Decided): boolean {
  return available !== undefined && least + (allowance ?? 0) > available;
}

/** Whether it is decided so because a change comes on the other side of its capture. */
export function hasOtherSide({ pairs }: Decided): boolean {
  return pairs.some(({ cases }) => cases.some(({ gaps }) => gaps.some(({ isOtherSide }) => isOtherSide)));
}

/**
 * A verdict with the margin that was decided; as it is where that is none better than the bound. What is less than the bound
 * is a change that the proof counts on the other side of its capture, unless that side says that it is none of its own
 * (`isOwn`), or a width beside a change that was taken for a pulse, which is judged here alone.
 */
export function withExactMargin(
  verdict: Verdict,
  decided: Decided,
  unknowns: Unknowns,
  sure: readonly Certainty[],
  isOwn = verdict.rule === "pulse width" || verdict.rule === "clock period",
): Verdict {
  const { required, available, margin, allowance = 0 } = verdict;
  if (required === undefined || available === undefined || margin === undefined) return verdict;
  const exactly = decided.least + allowance;
  if (isOwn ? exactly === available : exactly <= available) return verdict;
  const { board, isAttained } = decided;
  const certificate = certify(unknowns, decided.pairs, sure, decided.least);
  return {
    ...verdict,
    state: exactly >= required ? "holds" : "fails",
    available: fs(exactly),
    margin: fs(exactly - required),
    exact: {
      ...{ bound: margin, isAttained, certificate },
      ...(board && { board: delaysOf(unknowns, board) }),
    },
  };
}

function delaysOf(unknowns: Unknowns, board: Board): readonly BoardDelay[] {
  return [...board].map(([number, value]) => ({ name: unknowns.at(number).name, value: fs(value) }));
}

/** A glitch of which was shown that every edge at its place comes on every board, so that no pulse can. */
export function withoutPulse(verdict: Verdict, unknowns: Unknowns, sure: readonly Certainty[]): Verdict {
  return {
    ...verdict,
    state: "holds",
    note: "The changes overlap by their limits, but in every order in which they can come there is no pulse.",
    exact: { isAttained: false, certificate: certify(unknowns, [], sure) },
  };
}
