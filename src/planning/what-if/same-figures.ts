import type { Chip, Circuit } from "../../circuit/index.js";
import { arcsOf, askedOf, isMissing } from "../../parts/index.js";

/**
 * Whether a proof of two circuits with the same wiring looks at the same figures: every delay and requirement of every chip,
 * every wire, every signal from outside. Then one proof is the other.
 */
export function haveSameFigures(one: Circuit, other: Circuit): boolean {
  return (
    timesOf(one) === timesOf(other) &&
    one.chips.every((chip, index) => figuresOf(chip) === figuresOf(other.chips[index]))
  );
}

function timesOf({ wireDelay, inputs, masters, allowedContention, allowedUndriven }: Circuit): string {
  const findings = masters.map((master) => master.findings);
  return JSON.stringify([wireDelay, inputs, findings, allowedContention, allowedUndriven]);
}

function figuresOf(chip: Chip | undefined): string {
  if (!chip) return "";
  const { behaviour, figures, oscillation, number } = chip.part;
  const delays = arcsOf(behaviour).flatMap(({ from, to, moves }) =>
    moves.map(({ edge, change }) => {
      const delay = figures.delay(from, edge, to, change);
      return isMissing(delay) ? "missing" : [delay.min, delay.typical, delay.max, delay.minimumIs];
    }),
  );
  const required = askedOf(behaviour, figures)
    .filter(({ what }) => what !== "delay")
    .map(({ figure }) => (isMissing(figure) ? "missing" : "time" in figure ? figure.time : 0));
  return JSON.stringify([number, delays, required, oscillation?.period, oscillation?.duty]);
}
