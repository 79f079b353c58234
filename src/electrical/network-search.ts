import { type Series, preferredValues } from "./preferred-values.js";
import {
  type Rational,
  ZERO,
  asNumber,
  compare,
  dividedBy,
  exactly,
  inverse,
  magnitude,
  minus,
  plus,
  times,
} from "./rational.js";

/** An output as its load sees it: so many volts behind so many ohms. */
export interface Behind {
  readonly volts: number;
  readonly ohms: number;
}

/** What one bit's output is at either level. */
export interface BitDriver {
  readonly high: Behind;
  readonly low: Behind;
}

/** A network to be found: a resistor from each bit to the cable, and where `shunt` is set one from the cable to ground. */
export interface NetworkGoal {
  /** Most significant first. */
  readonly drivers: readonly BitDriver[];
  /** What the monitor ends the cable with. */
  readonly loadOhms: number;
  /** The level of all bits high; the levels of the codes between are to be evenly spaced from 0. */
  readonly fullVolts: number;
  readonly series: Series;
  readonly shunt: boolean;
  /** Limits of the values tried. */
  readonly leastOhms: number;
  readonly mostOhms: number;
  /** What one output may give or take, in mA; absent: anything. */
  readonly mostMilliamps?: number;
}

/** A network of preferred values. */
export interface NetworkChoice {
  /** One a bit, most significant first. */
  readonly ohms: readonly number[];
  /** From the cable to ground; absent where none helps or none is asked for. */
  readonly shunt?: number;
  /** Volts at the cable by code, from 0. */
  readonly levels: readonly Rational[];
  /** The greatest distance of a level from where it should be, in volts. */
  readonly worstError: Rational;
  /** The most that one output gives or takes, in amperes: it alone is at one level and all others are at the other. */
  readonly mostAmperes: Rational;
}

/**
 * Bounds are worked out in doubles. A level comes from at most ten additions, as many products and a division of positive
 * numbers below 100, so it is right to about 1e-13 V; this is far more.
 */
const GUARD_VOLTS = 1e-9;

/**
 * The network whose greatest error of a level is the least of all combinations of the series, and of those that are equal
 * the first by ohms, most significant bit first.
 *
 * It is exact: a level rises with the conductance of every bit whose volts are above it and falls with that of every bit
 * whose volts are below, so over a box of values its extremes lie at corners, and those are found. A box is left out only where one of its levels must be farther from its
 * place than the best network found is with all of its own, or where an output must carry too much; single networks are
 * compared as fractions. Throws RangeError where there is no value to choose, no bit, or no network that keeps to the current.
 */
export function bestNetwork(goal: NetworkGoal): NetworkChoice {
  const { drivers, shunt, series, leastOhms, mostOhms } = goal;
  const values = preferredValues(series, leastOhms, mostOhms);
  if (values.length === 0 || drivers.length === 0) throw new RangeError("nothing to choose from");
  const bits = drivers.length;
  const codes = 2 ** bits;
  const choices = [...drivers.map(() => values), ...(shunt ? [[...values, Infinity]] : [])];
  const loadSiemens = 1 / goal.loadOhms;
  const targets = Array.from({ length: codes }, (_, code) => (goal.fullVolts * code) / (codes - 1));

  /** Least possible greatest error over a box of indices, in doubles. */
  function bound(low: readonly number[], high: readonly number[]): number {
    let worst = 0;
    for (let code = 0; code < codes; code++) {
      const elements = choices.map((list, at): Element => {
        const driver = drivers[at];
        const { volts, ohms } = driver ? behindAt(driver, code, bits - 1 - at) : { volts: 0, ohms: 0 };
        const [few, many] = [list[low[at] ?? 0] ?? 0, list[high[at] ?? 0] ?? 0];
        return { volts, least: 1 / (many + ohms), most: 1 / (few + ohms) };
      });
      const target = targets[code] ?? 0;
      worst = Math.max(worst, extremeVolts(elements, loadSiemens, -1) - target);
      worst = Math.max(worst, target - extremeVolts(elements, loadSiemens, 1));
    }
    return worst;
  }

  /** Whether some output carries too much all over a box: the others are at most at their low level, behind at most so many ohms. */
  function carriesTooMuch(high: readonly number[]): boolean {
    if (goal.mostMilliamps === undefined) return false;
    const leastSiemens = choices.map((list, at) => 1 / ((list[high[at] ?? 0] ?? 0) + (drivers[at]?.low.ohms ?? 0)));
    const all = leastSiemens.reduce((sum, siemens) => sum + siemens, loadSiemens);
    const lowVolts = Math.max(...drivers.map((driver) => driver.low.volts));
    return drivers.some(({ high: behind }, at) => {
      const ohms = (choices[at]?.[high[at] ?? 0] ?? 0) + behind.ohms;
      const milliamps = (1000 * (behind.volts - lowVolts)) / (ohms + 1 / (all - (leastSiemens[at] ?? 0)));
      return milliamps > (goal.mostMilliamps ?? 0) + GUARD_VOLTS;
    });
  }

  let best: { indices: readonly number[]; error: Rational } | undefined;
  let limit = Infinity;
  function visit(low: readonly number[], high: readonly number[]): void {
    let widest = 0;
    for (let at = 0; at < low.length; at++) if (span(low, high, at) > span(low, high, widest)) widest = at;
    if (span(low, high, widest) === 0) {
      const values = networkAt(choices, low, bits);
      if (goal.mostMilliamps !== undefined) {
        if (compare(mostAmperesOf(goal, values), exactly(goal.mostMilliamps / 1000)) > 0) return;
      }
      const error = worstErrorOf(goal, values);
      const order = best ? compare(error, best.error) : -1;
      if (order < 0 || (order === 0 && best && isBefore(low, best.indices))) {
        best = { indices: low, error };
        limit = asNumber(error) + GUARD_VOLTS;
      }
      return;
    }
    const middle = Math.floor(((low[widest] ?? 0) + (high[widest] ?? 0)) / 2);
    const halves = [
      { low, high: replaced(high, widest, middle) },
      { low: replaced(low, widest, middle + 1), high },
    ].map((half) => ({ ...half, least: bound(half.low, half.high) }));
    halves.sort((a, b) => a.least - b.least);
    for (const half of halves) {
      if (half.least <= limit && !carriesTooMuch(half.high)) visit(half.low, half.high);
    }
  }
  visit(
    choices.map(() => 0),
    choices.map((list) => list.length - 1),
  );
  if (!best) throw new RangeError(`no network keeps to ${goal.mostMilliamps} mA an output`);
  return choiceOf(goal, networkAt(choices, best.indices, bits));
}

/** A network that somebody has chosen, with its levels and its error against the goal. */
export function networkOf(goal: NetworkGoal, ohms: readonly number[], shunt?: number): NetworkChoice {
  return choiceOf(goal, { ohms, shunt: shunt ?? Infinity });
}

/** What a level is the mean of: so many volts behind a conductance between limits, in siemens. */
interface Element {
  readonly volts: number;
  readonly least: number;
  readonly most: number;
}

/**
 * The highest (`sense` 1) or lowest (-1) level that conductances between their limits make. Each step sets every conductance
 * to the limit that moves the level found so far on; where none moves it, it is the extreme (Dinkelbach's method for a
 * quotient of two sums).
 */
function extremeVolts(elements: readonly Element[], loadSiemens: number, sense: 1 | -1): number {
  let level = -sense * Infinity;
  for (;;) {
    const from = Number.isFinite(level) ? level : 0;
    let [over, under] = [0, loadSiemens];
    for (const { volts, least, most } of elements) {
      const siemens = (volts - from) * sense > 0 ? most : least;
      over += siemens * volts;
      under += siemens;
    }
    const next = over / under;
    if ((next - level) * sense <= 0) return level;
    level = next;
  }
}

interface Values {
  readonly ohms: readonly number[];
  readonly shunt: number;
}

function choiceOf(goal: NetworkGoal, values: Values): NetworkChoice {
  const { ohms, shunt } = values;
  return {
    ohms,
    ...(shunt !== Infinity && { shunt }),
    levels: levelsOf(goal, values),
    worstError: worstErrorOf(goal, values),
    mostAmperes: mostAmperesOf(goal, values),
  };
}

function replaced(list: readonly number[], at: number, value: number): readonly number[] {
  return list.map((old, index) => (index === at ? value : old));
}

function span(low: readonly number[], high: readonly number[], at: number): number {
  return (high[at] ?? 0) - (low[at] ?? 0);
}

function isBefore(a: readonly number[], b: readonly number[]): boolean {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at >= 0 && (a[at] ?? 0) < (b[at] ?? 0);
}

function networkAt(choices: readonly (readonly number[])[], indices: readonly number[], bits: number): Values {
  const values = choices.map((list, at) => list[indices[at] ?? 0] ?? Infinity);
  return { ohms: values.slice(0, bits), shunt: values[bits] ?? Infinity };
}

/** Volts at the cable, by Millman's theorem: the sum of volts times siemens over the sum of siemens, exactly. */
function levelAt({ drivers, loadOhms }: NetworkGoal, { ohms, shunt }: Values, code: number): Rational {
  let over = ZERO;
  let under = plus(inverse(exactly(loadOhms)), shunt === Infinity ? ZERO : inverse(exactly(shunt)));
  drivers.forEach((driver, at) => {
    const behind = behindAt(driver, code, drivers.length - 1 - at);
    const siemens = inverse(plus(exactly(ohms[at] ?? Number.NaN), exactly(behind.ohms)));
    over = plus(over, times(siemens, exactly(behind.volts)));
    under = plus(under, siemens);
  });
  return dividedBy(over, under);
}

function behindAt(driver: BitDriver, code: number, bit: number): Behind {
  return ((code >> bit) & 1) === 1 ? driver.high : driver.low;
}

function levelsOf(goal: NetworkGoal, values: Values): readonly Rational[] {
  return Array.from({ length: 2 ** goal.drivers.length }, (_, code) => levelAt(goal, values, code));
}

function mostAmperesOf(goal: NetworkGoal, values: Values): Rational {
  const { drivers } = goal;
  const all = 2 ** drivers.length - 1;
  let most = ZERO;
  drivers.forEach((driver, at) => {
    const bit = drivers.length - 1 - at;
    for (const code of [1 << bit, all - (1 << bit)]) {
      const behind = behindAt(driver, code, bit);
      const across = minus(exactly(behind.volts), levelAt(goal, values, code));
      const amperes = magnitude(dividedBy(across, plus(exactly(values.ohms[at] ?? Number.NaN), exactly(behind.ohms))));
      if (compare(amperes, most) > 0) most = amperes;
    }
  });
  return most;
}

function worstErrorOf(goal: NetworkGoal, values: Values): Rational {
  const levels = levelsOf(goal, values);
  const full = exactly(goal.fullVolts);
  return levels.reduce((worst, level, code) => {
    const target = times(full, { over: BigInt(code), under: BigInt(levels.length - 1) });
    const error = magnitude(minus(level, target));
    return compare(error, worst) > 0 ? error : worst;
  }, ZERO);
}
