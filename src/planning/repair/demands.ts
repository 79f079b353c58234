import type { Chip, Circuit } from "../../circuit/index.js";
import { inNs } from "../../quantity/index.js";
import type { Verdict } from "../../timing/index.js";
import type { Evaluation } from "./evaluate.js";
import { gainOf } from "./gain.js";
import { placeOf } from "./places.js";

/** A margin that a proof found, which chips it rests on, and how much it counts. */
export interface Demand {
  readonly verdict: Verdict;
  readonly marginNs: number;
  /** By ref, as they were when it was proved. */
  readonly chips: ReadonlyMap<string, Chip>;
  /** One over the number of those at the same place, as the bits of a bus are. */
  readonly weight: number;
}

/** All that a proof asks in times, whether it holds or not. */
export function demandsOf({ circuit, verdicts }: Evaluation): readonly Demand[] {
  const timed = verdicts.flatMap((verdict) =>
    verdict.margin === undefined || !verdict.chains ? [] : [{ verdict, margin: verdict.margin }],
  );
  const counts = new Map<string, number>();
  for (const { verdict } of timed) counts.set(placeOf(verdict), (counts.get(placeOf(verdict)) ?? 0) + 1);
  const chipOf = new Map(circuit?.chips.map((chip) => [chip.ref, chip]));
  return timed.map(({ verdict, margin }) => ({
    verdict,
    marginNs: inNs(margin),
    chips: new Map(
      refsOf(verdict).flatMap((ref) => {
        const chip = chipOf.get(ref);
        return chip ? [[ref, chip] as const] : [];
      }),
    ),
    weight: 1 / (counts.get(placeOf(verdict)) ?? 1),
  }));
}

/** Chips whose delays or requirements count. */
function refsOf({ chip, chains }: Verdict): readonly string[] {
  const steps = chains ? [...chains.earlier, ...chains.later] : [];
  return [...new Set([chip, ...steps.flatMap((step) => (step.kind === "arc" ? [step.chip] : []))])];
}

/** Whether a chip is wired as it was when a margin was proved, so that the chains of delays still are there. */
export function isWiredAsThen({ chips }: Demand, now: Chip): boolean {
  const then = chips.get(now.ref);
  if (!then || then === now) return true;
  return (
    then.part.behaviour === now.part.behaviour &&
    then.nets.size === now.nets.size &&
    [...then.nets].every(([pin, net]) => now.nets.get(pin)?.name === net.name)
  );
}

/** What a chip that is now in a place adds to the margin that was proved with another one. */
export function gainNow({ verdict, chips }: Demand, now: Chip): number {
  const then = chips.get(now.ref);
  return !then || then.part.number === now.part.number ? 0 : gainOf(verdict, then, now.part);
}

/** The margin that a proof of other parts lets expect of those that are there. */
export function foreseen(demand: Demand, { chips }: Circuit): number {
  return chips.reduce((sum, chip) => sum + gainNow(demand, chip), demand.marginNs);
}

/** Nanoseconds that a margin should have, as loads are left out of what is foreseen. */
export const RESERVE_NS = 0.5;
/** What a place that fails costs beside its nanoseconds. */
const FAILS = 1;
/** Nanoseconds beyond which it does not matter how much is short. */
export const MOST_SHORT_NS = 200;

/** What a margin costs where it is short, or little is to spare. */
export function costOf(marginNs: number): number {
  if (marginNs >= RESERVE_NS) return 0;
  if (marginNs >= 0) return 0.2 * (1 - marginNs / RESERVE_NS);
  return FAILS + Math.min(MOST_SHORT_NS, -marginNs);
}
