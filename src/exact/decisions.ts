import { type Board, type Multipliers, type Programme, valueOn } from "./programme.js";
import { type Linear, type Unknowns, less, negative } from "./unknowns.js";

/** One order of two edges, as it is taken in a case. */
export interface Decision {
  /** The later edge's time less the earlier one's, as they were compared. */
  readonly difference: Linear;
  /** Whether the difference is taken as not negative, else as not positive. */
  readonly isLater: boolean;
  /** Shows that it cannot be otherwise, by the decisions before it; absent where both ways are cases. */
  readonly forcedBy?: Multipliers;
}

/** One case: all that was decided, and what followed from it. */
export interface Leaf<T> {
  readonly decisions: readonly Decision[];
  readonly value: T;
}

/** Thrown where there are more cases than are worth looking at. */
export class TooManyCases extends Error {}

/** Tells in which order two edges come, in the case that is being looked at. */
export interface Orders {
  /** Whether `one` comes before `other`; of two at the very same time the one is first where `isFirstAtOnce`. */
  isBefore(one: Linear, other: Linear, isFirstAtOnce: boolean): boolean;
}

/** Boards that are tried before the solver is asked whether a comparison can come out either way. */
const TRIED_BOARDS = 48;

/**
 * Looks at every case that boards can be in. `follow` works out what happens, and asks for the order of two edges where it
 * matters; where limits and what was decided before leave both, each is a case of its own.
 */
export class Cases {
  readonly #unknowns: Unknowns;
  readonly #programme: Programme;
  readonly #most: number;

  constructor(unknowns: Unknowns, programme: Programme, most: number) {
    this.#unknowns = unknowns;
    this.#programme = programme;
    this.#most = most;
  }

  /** Throws TooManyCases. */
  explore<T>(follow: (orders: Orders) => T): readonly Leaf<T>[] {
    const leaves: Leaf<T>[] = [];
    const waiting: (readonly Decision[])[] = [[]];
    for (let begun = waiting.pop(); begun; begun = waiting.pop()) {
      const decisions = [...begun];
      const value = follow(this.#orders(decisions, begun.length, waiting));
      leaves.push({ decisions, value });
      if (leaves.length + waiting.length > this.#most) throw new TooManyCases();
    }
    return leaves;
  }

  #orders(decisions: Decision[], begun: number, waiting: (readonly Decision[])[]): Orders {
    const known = new Map<string, boolean>();
    let at = 0;
    const decide = (difference: Linear): boolean => {
      const next = at < begun ? decisions[at] : undefined;
      at++;
      if (next) return next.isLater;
      const forced = this.#forced(difference, decisions);
      if (forced) {
        decisions.push({ difference, ...forced });
        return forced.isLater;
      }
      waiting.push([...decisions, { difference, isLater: false }]);
      decisions.push({ difference, isLater: true });
      return true;
    };
    return {
      isBefore: (one, other, isFirstAtOnce) => {
        const difference = less(other, one);
        const [least, most] = [this.#unknowns.least(difference), this.#unknowns.most(difference)];
        if (isFirstAtOnce ? least >= 0 : least > 0) return true;
        if (isFirstAtOnce ? most < 0 : most <= 0) return false;
        const key = `${difference.unknowns.join()}:${difference.factors.join()}`;
        const decided = known.get(key);
        if (decided !== undefined) return decided;
        const isLater = decide(difference);
        known.set(key, isLater);
        known.set(`${difference.unknowns.join()}:${negative(difference).factors.join()}`, !isLater);
        return isLater;
      },
    };
  }

  /** Whether what was decided before leaves one way only, and what shows it. */
  #forced(difference: Linear, decisions: readonly Decision[]): Pick<Decision, "isLater" | "forcedBy"> | undefined {
    const conditions = conditionsOf(decisions);
    if (conditions.length === 0) return undefined;
    const tried = this.#tried(difference, conditions);
    if (!tried.isPositive) {
      const { least, multipliers } = this.#programme.lowerBound(negative(difference), conditions);
      if (least >= 0) return { isLater: false, forcedBy: multipliers };
    }
    if (!tried.isNegative) {
      const { least, multipliers } = this.#programme.lowerBound(difference, conditions);
      if (least >= 0) return { isLater: true, forcedBy: multipliers };
    }
    return undefined;
  }

  /** Which signs the difference has on some boards that meet the conditions. */
  #tried(difference: Linear, conditions: readonly Linear[]): { isPositive: boolean; isNegative: boolean } {
    const sums = [difference, ...conditions];
    const numbers = [...new Set(sums.flatMap(({ unknowns }) => unknowns))];
    let [isPositive, isNegative] = [false, false];
    let seed = 1;
    const luck = () => {
      seed = (seed * 16_807) % 2_147_483_647;
      return seed / 2_147_483_647;
    };
    for (let tries = 0; tries < TRIED_BOARDS && !(isPositive && isNegative); tries++) {
      const share = () => (tries % 2 === 0 ? luck() : Math.round(luck()));
      const board: Board = new Map(this.#unknowns.some(numbers, share));
      if (!conditions.every((condition) => valueOn(board, condition) >= 0)) continue;
      const value = valueOn(board, difference);
      if (value > 0) isPositive = true;
      if (value < 0) isNegative = true;
    }
    return { isPositive, isNegative };
  }
}

/** What decisions ask of a board: sums that are not negative. Forced ones follow from the others. */
export function conditionsOf(decisions: readonly Decision[]): readonly Linear[] {
  return decisions.flatMap(({ difference, isLater, forcedBy }) => {
    if (forcedBy) return [];
    return [isLater ? difference : negative(difference)];
  });
}
