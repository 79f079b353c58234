import type { Oscillation } from "../../parts/index.js";
import { fs } from "../../quantity/index.js";

/** A can of the same kind at another frequency in hertz. */
export function scaled(oscillation: Oscillation, hertz: number): Oscillation {
  const factor = hertzOf(oscillation) / hertz;
  const { min, max } = oscillation.period;
  return { ...oscillation, period: { min: fs(Math.floor(min * factor)), max: fs(Math.ceil(max * factor)) } };
}

export function hertzOf({ hertz: { numerator, denominator } }: Oscillation): number {
  return Number(numerator) / Number(denominator);
}
