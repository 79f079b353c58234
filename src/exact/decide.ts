import { NotTold, Race } from "./bundle.js";
import { type Cases, type Decision, TooManyCases, conditionsOf } from "./decisions.js";
import { type Pair, type Place, farIn, pairsOf } from "./pairs.js";
import { type Board, type Multipliers, type Programme, valueOn } from "./programme.js";
import { type Linear, negative } from "./unknowns.js";
import type { Unrolling } from "./unrolling.js";

/**
 * One time that there may be in a case, and what shows that it is no less than `least`, or, of a change on the other side of
 * its capture, that it is never positive. In femtoseconds.
 */
export interface ShownGap {
  readonly gap: Linear;
  readonly least: number;
  readonly isOtherSide: boolean;
  readonly multipliers: Multipliers;
}

/** One case of a pair of bundles. */
export interface ShownCase {
  readonly decisions: readonly Decision[];
  readonly gaps: readonly ShownGap[];
}

/** Every case of one pair of bundles, which stands for all that differ from it in their ticks only. */
export interface ShownPair {
  readonly tick: number;
  readonly times: number;
  readonly cases: readonly ShownCase[];
}

/** The least time that there is on any board, and what shows it. */
export interface Decided {
  /** No board has less, in femtoseconds. */
  readonly least: number;
  /** Boards have no more than a femtosecond above it, or come as near to that as one likes. */
  readonly isAttained: boolean;
  /** A board within all limits that has it to a few femtoseconds, no two edges at once; absent where none was found. */
  readonly board?: Board;
  readonly tick: number;
  readonly pairs: readonly ShownPair[];
}

/** Why nothing was decided where no edge comes near another. */
export const NOTHING_TO_DECIDE = "nothing to decide";

/** What the edges of a board may be apart by that it has its gap above the least, in femtoseconds. */
const MOST_ABOVE = 20;

/** Decides the available time of a rule at a place; says why not where it cannot. */
export function decide(
  unrolling: Unrolling,
  cases: Cases,
  programme: Programme,
  place: Place,
): Decided | { readonly why: string } {
  try {
    return decided(cases, programme, pairsOf(unrolling, place), unrolling.judgedTicks, farIn(unrolling));
  } catch (error) {
    if (error instanceof NotTold || error instanceof Race || error instanceof TooManyCases) {
      return { why: `${error.constructor.name} ${error.message}` };
    }
    throw error;
  }
}

interface Worst {
  readonly least: number;
  readonly gap: Linear;
  readonly decisions: readonly Decision[];
  readonly tick: number;
}

function decided(
  cases: Cases,
  programme: Programme,
  all: readonly Pair[],
  judgedTicks: number,
  far: number,
): Decided | { readonly why: string } {
  const groups = new Map<string, { readonly pair: Pair; times: number }>();
  for (const pair of all) {
    if (pair.tick >= judgedTicks) continue;
    const known = groups.get(pair.shape);
    if (known) known.times++;
    else groups.set(pair.shape, { pair, times: 1 });
  }
  const inOrder = [...groups.values()].sort((a, b) => a.pair.least - b.pair.least);
  let worst: Worst | undefined;
  const pairs: ShownPair[] = [];
  for (const { pair, times } of inOrder) {
    if (worst && pair.least >= worst.least) break;
    const shown = cases
      .explore((orders) => pair.gaps(orders))
      .map(({ decisions, value }): ShownCase => {
        const conditions = conditionsOf(decisions);
        const enough = worst?.least ?? Infinity;
        const gaps = value.map((gap) => shownGap(programme, gap, conditions, pair.hasOtherSide, enough));
        for (const { gap, least, isOtherSide } of gaps) {
          if (isOtherSide) continue;
          if (!worst || least < worst.least) worst = { least, gap, decisions, tick: pair.tick };
        }
        return { decisions, gaps };
      });
    pairs.push({ tick: pair.tick, times, cases: shown });
  }
  const [first] = pairs;
  // Every edge goes before it comes here, whatever the order, or is on the other side: nothing comes nearer than was looked at.
  if (!worst && first && inOrder.every(({ pair }) => pair.hasOtherSide))
    return { least: far, tick: first.tick, pairs, isAttained: false };
  if (!worst) return { why: NOTHING_TO_DECIDE };
  const { least, tick, gap, decisions } = worst;
  const conditions = conditionsOf(decisions);
  // Where edges must come at the very same time for the least gap, a board comes as near to it as one likes.
  const limit = programme.worstBoard(gap, conditions, 0);
  const board = programme.worstBoard(gap, conditions, 1);
  const isAttained = isWorst(limit, gap, least, 1);
  return { least, tick, pairs, isAttained, ...(board && isWorst(board, gap, least, MOST_ABOVE) && { board }) };
}

function isWorst(board: Board | undefined, gap: Linear, least: number, above: number): boolean {
  return board !== undefined && valueOn(board, gap) <= least + above;
}

function shownGap(
  programme: Programme,
  gap: Linear,
  conditions: readonly Linear[],
  hasOtherSide: boolean,
  enough: number,
): ShownGap {
  const byLimits = programme.boundByLimits(gap, conditions);
  if (byLimits.least >= enough) return { gap, ...byLimits, isOtherSide: false };
  const bound = programme.lowerBound(gap, conditions);
  if (hasOtherSide && bound.least < 0) {
    const other = programme.lowerBound(negative(gap), conditions);
    if (other.least >= 0) return { gap, ...other, isOtherSide: true };
  }
  return { gap, ...bound, isOtherSide: false };
}
