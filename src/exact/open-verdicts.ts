import type { Proof, Verdict } from "../timing/index.js";

/** A circuit that comes back later is not worked out case by case. */
const MOST_TICKS = 1024;

/** Whether bounds leave anything open that can be decided case by case. Says so without the stage that does. */
export function canBeDecided(proof: Proof): boolean {
  const { leadTicks, cycleTicks, verdicts } = proof;
  return cycleTicks > 0 && leadTicks + cycleTicks <= MOST_TICKS && verdicts.some(isOpen);
}

/** A verdict whose margin is a bound that no board is known to have. */
export function isOpen({ state, shown }: Verdict): boolean {
  return state !== "not covered" && !shown?.isWorst;
}

/** Whether a width is of a place where changes may be pulses: the bounds leave out what lies beside these. */
export function isBesidePulse({ rule, chip, pin }: Verdict, verdicts: readonly Verdict[]): boolean {
  if (rule !== "pulse width" && rule !== "clock period") return false;
  return verdicts.some((one) => one.rule === "glitch" && one.chip === chip && one.pin === pin);
}
