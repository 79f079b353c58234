import type { Chip, Circuit } from "../../circuit/index.js";
import { type Part, arcsOf, askedOf, isMissing } from "../../parts/index.js";
import type { Range } from "../../quantity/index.js";

/**
 * Whether every board of one circuit is a board of another with the same wiring, and asks for no more: all its delays lie
 * within the other's limits, and every time that it requires is no longer. Then what holds of the other holds of it, without
 * a proof. Both ways it says that the proof of the one is that of the other. Delays must be those under load.
 */
export function areFiguresWithin(one: Circuit, other: Circuit): boolean {
  return (
    outsideOf(one) === outsideOf(other) &&
    isWithin(one.wireDelay, other.wireDelay) &&
    one.chips.every((chip, index) => isChipWithin(chip, other.chips[index]))
  );
}

/** Parts of one circuit that lack a figure which their counterparts in another with the same wiring have. */
export function partsLacking(one: Circuit, other: Circuit): readonly string[] {
  const lacking = one.chips.filter(({ part }, index) => {
    const others = limitsOf(other.chips[index]?.part);
    return limitsOf(part).some((limits, at) => !limits && others[at]);
  });
  return [...new Set(lacking.map(({ part }) => part.number))];
}

function outsideOf({ inputs, masters, allowedContention, allowedUndriven }: Circuit): string {
  const findings = masters.map((master) => master.findings);
  // Their levels are no matter of a time.
  const signals = inputs.map(({ net, timing }) => [net, timing]);
  return JSON.stringify([signals, findings, allowedContention, allowedUndriven]);
}

function isChipWithin({ part: one }: Chip, chip: Chip | undefined): boolean {
  const other = chip?.part;
  if (other?.behaviour !== one.behaviour) return false;
  if (JSON.stringify(oscillationOf(one)) !== JSON.stringify(oscillationOf(other))) return false;
  const [owns, others] = [limitsOf(one), limitsOf(other)];
  return (
    owns.length === others.length &&
    owns.every((own, index) => {
      const limits = others[index];
      return own && limits ? isWithin(own, limits) : own === limits;
    })
  );
}

/** Least times that a memory promises; all its other times are required, or longest ones that it promises. */
const PROMISED: readonly string[] = ["tOH", "tLZCE", "tLZOE", "tOW"];

/**
 * The limits of every delay and requirement of a part, in the order of its behaviour; undefined where no sheet gives one. A
 * required time is a limit from above: who asks for less is within.
 */
function limitsOf(part: Part | undefined): readonly (Range | undefined)[] {
  if (!part) return [];
  const { behaviour, figures } = part;
  const delays = arcsOf(behaviour).flatMap(({ from, to, moves }) =>
    moves.map(({ edge, change }) => {
      const delay = figures.delay(from, edge, to, change);
      return isMissing(delay) ? undefined : delay;
    }),
  );
  const asked = askedOf(behaviour, figures)
    .filter(({ what }) => what !== "delay")
    .map(({ pin, figure }): Range | undefined => {
      if (!("time" in figure)) return undefined;
      const { time } = figure;
      return PROMISED.includes(pin) ? { min: time, max: Infinity } : { min: -Infinity, max: time };
    });
  return [...delays, ...asked];
}

function oscillationOf({ oscillation }: Part) {
  return oscillation && [oscillation.period, oscillation.duty];
}

function isWithin(one: Range, other: Range): boolean {
  return one.min >= other.min && one.max <= other.max;
}
