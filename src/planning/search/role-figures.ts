import {
  type Change,
  type Conditions,
  type Delay,
  type Part,
  arcsOf,
  findPart,
  isMissing,
  isPartProblem,
  requirementsOf,
} from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";

/** Limits of a delay in nanoseconds. */
export interface Limits {
  readonly min: number;
  readonly max: number;
}

/** The times of one part that an estimate needs, the worst over all of its pins, in nanoseconds; what no sheet gives is absent. */
export interface RoleFigures {
  readonly part: string;
  /** Clock to output, or address to data. */
  readonly clockToOutput?: Limits;
  /** Input to output by logic alone. */
  readonly propagation?: Limits;
  /** Output enable to driving, and to letting go. */
  readonly enable?: Limits;
  readonly disable?: Limits;
  readonly setUp?: number;
  readonly clockPeriod?: number;
  readonly clockHigh?: number;
}

const DRIVES: ReadonlySet<Change> = new Set<Change>(["z-to-high", "z-to-low"]);
const RELEASES: ReadonlySet<Change> = new Set<Change>(["high-to-z", "low-to-z"]);

/** The figures of a part under the given conditions; undefined where the catalogue has no such part. */
export function roleFigures(number: string, conditions: Conditions): RoleFigures | undefined {
  const part = findPart(number, conditions);
  if (isPartProblem(part)) return undefined;
  const clockToOutput = worst(part, "clock");
  const propagation = worst(part, "value");
  const enable = worst(part, "enable", DRIVES);
  const disable = worst(part, "enable", RELEASES);
  const setUp = worstSetUp(part);
  const { clocks } = requirementsOf(part.behaviour);
  const clockPeriod = greatest(clocks.map(({ pin }) => part.figures.period(pin)));
  const clockHigh = greatest(clocks.map(({ pin }) => part.figures.width(pin, "high")));
  return {
    part: number,
    ...(clockToOutput && { clockToOutput }),
    ...(propagation && { propagation }),
    ...(enable && { enable }),
    ...(disable && { disable }),
    ...(setUp !== undefined && { setUp }),
    ...(clockPeriod !== undefined && { clockPeriod }),
    ...(clockHigh !== undefined && { clockHigh }),
  };
}

function worst(part: Part, through: string, changes?: ReadonlySet<Change>): Limits | undefined {
  let [min, max] = [Infinity, -Infinity];
  for (const arc of arcsOf(part.behaviour)) {
    if (arc.through !== through) continue;
    for (const { edge, change } of arc.moves) {
      if (changes && !changes.has(change)) continue;
      const delay: Delay | { missing: string } = part.figures.delay(arc.from, edge, arc.to, change);
      if (isMissing(delay)) continue;
      min = Math.min(min, inNs(delay.min));
      max = Math.max(max, inNs(delay.max));
    }
  }
  return max === -Infinity ? undefined : { min, max };
}

function worstSetUp(part: Part): number | undefined {
  const windows = requirementsOf(part.behaviour).windows.filter(({ ends }) => ends === "clock");
  return greatest(windows.map(({ pin, reference }) => part.figures.window("set-up", pin, reference)));
}

function greatest(found: readonly ReturnType<Part["figures"]["period"]>[]): number | undefined {
  const known = found.flatMap((one) => (isMissing(one) ? [] : [inNs(one.time)]));
  return known.length === 0 ? undefined : Math.max(...known);
}
