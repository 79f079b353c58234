import { solve } from "yalps";
import type { Work } from "./work.js";
import { HIGH_TIME, type Linear, PERIOD, type Unknowns, less, plus, ZERO } from "./unknowns.js";

/**
 * How often each condition is counted to show that a sum has a least value: the sum less so many times each condition (a sum
 * that is not negative) is at its least at ends of limits. In whole `parts`-ths; the last two are the oscillator's
 * duty: high time not less than its least share of the period, and not more than its most.
 */
export interface Multipliers {
  readonly parts: number;
  readonly counts: readonly number[];
}

/** A value that a sum cannot be below, in femtoseconds rounded down, and what shows it. */
export interface LowerBound {
  readonly least: number;
  readonly multipliers: Multipliers;
}

/** One board: a value in whole femtoseconds for each unknown that was asked about. */
export type Board = ReadonlyMap<number, number>;

/** The solver counts in nanoseconds. */
const FS_OF_A_UNIT = 1e6;
/** Multipliers are fractions of whole numbers up to this one. */
const MOST_PARTS = 720;

/** Least values of sums of unknowns under conditions on the order of edges. The solver proposes; whole numbers decide. */
export class Programme {
  readonly #unknowns: Unknowns;
  readonly #work: Work;

  constructor(unknowns: Unknowns, work: Work) {
    this.#unknowns = unknowns;
    this.#work = work;
  }

  /** The greatest value that can be shown to be none above the sum's, where each of the conditions is not negative. */
  lowerBound(sum: Linear, conditions: readonly Linear[]): LowerBound {
    const rows = [...conditions, ...this.#duty()];
    const none: Multipliers = { parts: 1, counts: rows.map(() => 0) };
    const found = this.#rounded(this.#dual(sum, rows));
    const bounds = [none, ...found].map((multipliers) => ({
      least: boundBy(this.#unknowns, sum, rows, multipliers),
      multipliers,
    }));
    return bounds.reduce((best, bound) => (bound.least > best.least ? bound : best));
  }

  /** What the limits alone show, whatever the conditions. */
  boundByLimits(sum: Linear, conditions: readonly Linear[]): LowerBound {
    const rows = [...conditions, ...this.#duty()];
    const multipliers: Multipliers = { parts: 1, counts: rows.map(() => 0) };
    return { least: boundBy(this.#unknowns, sum, rows, multipliers), multipliers };
  }

  /**
   * A board on which the sum is as small as the conditions let it be, each of them not below `apart` femtoseconds; undefined
   * where there is none, or rounding leaves them.
   */
  worstBoard(sum: Linear, conditions: readonly Linear[], apart: number): Board | undefined {
    const rows = [...conditions, ...this.#duty()];
    const wanted = rows.map((_, i) => (i < conditions.length ? apart : 0));
    const numbers = numbersIn([sum, ...rows]);
    const limits = (unknown: number) => this.#unknowns.at(unknown);
    const variables = new Map(
      numbers.map((unknown) => {
        const column = new Map<string, number>([["sum", factorOf(sum, unknown)]]);
        rows.forEach((row, i) => column.set(`r${i}`, factorOf(row, unknown)));
        column.set(`u${unknown}`, 1);
        return [`${unknown}`, column] as const;
      }),
    );
    const constraints = new Map<string, { min: number } | { max: number }>([
      ...rows.map((row, i) => {
        const atLeast = row.unknowns.reduce(
          (all, unknown, at) => all + (row.factors[at] ?? 0) * limits(unknown).min,
          0,
        );
        return [`r${i}`, { min: ((wanted[i] ?? 0) - atLeast) / FS_OF_A_UNIT }] as const;
      }),
      ...numbers.map(
        (unknown) => [`u${unknown}`, { max: (limits(unknown).max - limits(unknown).min) / FS_OF_A_UNIT }] as const,
      ),
    ]);
    const solution = this.#work.solving(() =>
      solve({ direction: "minimize", objective: "sum", constraints, variables }, { includeZeroVariables: true }),
    );
    if (solution.status !== "optimal") return undefined;
    const board = new Map(
      solution.variables.map(([name, value]) => {
        const { min, max } = limits(Number(name));
        return [Number(name), Math.min(max, Math.max(min, min + Math.round(value * FS_OF_A_UNIT)))];
      }),
    );
    return rows.every((row, i) => valueOn(board, row) >= (wanted[i] ?? 0)) ? board : undefined;
  }

  /** That the high time is within its shares of the period. */
  #duty(): Linear[] {
    const { min, max } = this.#unknowns.duty;
    const high = (factor: number) => plus(ZERO, HIGH_TIME, factor);
    return [
      plus(high(min.denominator), PERIOD, -min.numerator),
      less(plus(ZERO, PERIOD, max.numerator), high(max.denominator)),
    ];
  }

  /** Multipliers as the solver finds them. */
  #dual(sum: Linear, rows: readonly Linear[]): readonly number[] {
    const numbers = numbersIn([sum, ...rows]).filter((unknown) => {
      const { min, max } = this.#unknowns.at(unknown);
      return min < max;
    });
    const columns = new Map<string, Map<string, number>>();
    rows.forEach((row, i) => {
      const column = new Map<string, number>();
      const atLeast = row.unknowns.reduce(
        (all, unknown, at) => all + (row.factors[at] ?? 0) * this.#unknowns.at(unknown).min,
        0,
      );
      column.set("bound", -atLeast / FS_OF_A_UNIT);
      for (const unknown of numbers) column.set(`u${unknown}`, -factorOf(row, unknown));
      columns.set(`y${i}`, column);
    });
    for (const unknown of numbers) {
      const { min, max } = this.#unknowns.at(unknown);
      columns.set(
        `q${unknown}`,
        new Map([
          ["bound", -(max - min) / FS_OF_A_UNIT],
          [`u${unknown}`, 1],
        ]),
      );
    }
    const constraints = new Map(numbers.map((unknown) => [`u${unknown}`, { min: -factorOf(sum, unknown) }] as const));
    const solution = this.#work.solving(() =>
      solve({ direction: "maximize", objective: "bound", constraints, variables: columns }),
    );
    const found = new Map(solution.variables);
    return rows.map((_, i) => Math.max(0, found.get(`y${i}`) ?? 0));
  }

  /** The same as fractions: of small denominators where they are near, and as they are. */
  #rounded(multipliers: readonly number[]): Multipliers[] {
    if (multipliers.every((count) => count === 0)) return [];
    for (let parts = 1; parts <= MOST_PARTS; parts++) {
      if (multipliers.every((count) => Math.abs(count * parts - Math.round(count * parts)) < 1e-6 * parts)) {
        return [{ parts, counts: multipliers.map((count) => Math.round(count * parts)) }];
      }
    }
    const parts = 1_000_000;
    return [{ parts, counts: multipliers.map((count) => Math.round(count * parts)) }];
  }
}

/** What multipliers show, in whole numbers: the least value of the sum less the conditions so many times, rounded down. */
export function boundBy(
  unknowns: Unknowns,
  sum: Linear,
  conditions: readonly Linear[],
  { parts, counts }: Multipliers,
): number {
  const rest = new Map<number, bigint>();
  const add = ({ unknowns: numbers, factors }: Linear, times: bigint) =>
    numbers.forEach((unknown, i) => {
      rest.set(unknown, (rest.get(unknown) ?? 0n) + times * BigInt(factors[i] ?? 0));
    });
  add(sum, BigInt(parts));
  conditions.forEach((condition, i) => add(condition, -BigInt(counts[i] ?? 0)));
  let least = 0n;
  for (const [unknown, factor] of rest) {
    const { min, max } = unknowns.at(unknown);
    least += factor * BigInt(factor > 0n ? min : max);
  }
  const [whole, part] = [least / BigInt(parts), least % BigInt(parts)];
  return Number(part < 0n ? whole - 1n : whole);
}

/** The value of a sum on a board, in femtoseconds. */
export function valueOn(board: Board, { unknowns, factors }: Linear): number {
  return unknowns.reduce((all, unknown, i) => all + (factors[i] ?? 0) * (board.get(unknown) ?? 0), 0);
}

function numbersIn(sums: readonly Linear[]): number[] {
  return [...new Set(sums.flatMap(({ unknowns }) => unknowns))];
}

function factorOf({ unknowns, factors }: Linear, unknown: number): number {
  const index = unknowns.indexOf(unknown);
  return index < 0 ? 0 : (factors[index] ?? 0);
}
