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

/**
 * Whether a verdict may be worse where another is decided: a width beside a change that is no pulse, which the bounds leave
 * out, and one side of captures where changes are found to be none of the other's.
 */
export function isTouched({ rule, chip, pin }: Verdict, verdicts: readonly Verdict[]): boolean {
  const others = verdicts.filter((one) => one.chip === chip && one.pin === pin);
  switch (rule) {
    case "pulse width":
    case "clock period":
      return others.some((one) => one.rule === "glitch");
    case "set-up":
      return others.some((one) => one.rule === "hold" && isOpen(one));
    case "hold":
      return others.some((one) => one.rule === "set-up" && isOpen(one));
    default:
      return false;
  }
}
