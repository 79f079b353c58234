import type { OscillatorChoice } from "../choice.js";
import { fs } from "../../quantity/index.js";
import type { Structure } from "./structure.js";

export type { OscillatorChoice };

/** An oscillator of a circuit, and how it runs. */
export interface Oscillating extends OscillatorChoice {
  readonly source: number;
}

/**
 * How each oscillator runs: as given, or at its nominal period with a duty in the middle of its limits and its first rise
 * after half a period. Throws RangeError on a clock output without a frequency.
 */
export function chooseOscillators(
  { sources }: Structure,
  given: ReadonlyMap<string, OscillatorChoice> = new Map(),
): readonly Oscillating[] {
  return sources.flatMap(({ oscillator }, source) => {
    if (!oscillator) return [];
    const { ref, part } = oscillator.chip;
    const choice = given.get(ref);
    if (choice) return [{ source, ...choice }];
    if (!part.oscillation) throw new RangeError(`${ref} has a clock output but no frequency`);
    const { hertz, duty } = part.oscillation;
    const { numerator, denominator } = hertz;
    const period = Number((10n ** 15n * denominator * 2n + numerator) / (numerator * 2n));
    const high = fs(Math.round(period * ((duty.min + duty.max) / 2)));
    return [{ source, period: fs(period), high, start: fs(Math.round(period / 2)) }];
  });
}
