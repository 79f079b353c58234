import { type Missing, type Requirement, isMissing } from "../parts/index.js";
import type { Check, RuleName } from "./check.js";
import type { ChipStep } from "./chip-step.js";
import type { PinModel } from "./model.js";
import { leastGap } from "./moments.js";
import { isSynchroniser } from "./synchroniser.js";
import type { Moment } from "./moment.js";

/** Records one check of the time between an earlier and a later event at two pins of a chip. */
export function check(
  at: ChipStep,
  rule: RuleName,
  symbol: string,
  pin: PinModel,
  reference: PinModel,
  earlier: readonly Moment[],
  later: readonly Moment[],
  figure: Requirement | Missing,
  more: Pick<Check, "isJoined"> = {},
): void {
  const { model } = at.step;
  const gap = leastGap(model.time, earlier, later);
  if (!gap) return;
  const base = { ...more, chip: at.chip.chip.ref, pin: pin.name, net: pin.net.net.name, reference: reference.name };
  const required = isMissing(figure) ? undefined : figure;
  // What starts from outside and is surely over in time, as what a driver shows is that has let go since, counts as any other.
  const isNear = gap.fs < (required?.time ?? Infinity);
  if (model.time.isUnrelated(gap.earlier, gap.later) && (isNear || isSynchroniser(at, pin))) {
    at.step.checks.push({
      ...base,
      rule: "asynchronous signal",
      symbol: "synchroniser",
      required: 0,
      available: isSynchroniser(at, pin) ? 0 : -model.time.period.max,
      typical: 0,
      earlier: gap.earlier,
      later: gap.later,
      note: isSynchroniser(at, pin)
        ? "first stage of a synchroniser"
        : "a signal that may change at any time is sampled without a synchroniser of two stages",
    });
    return;
  }
  if (isMissing(figure)) model.missing.add(`${at.chip.chip.ref}: ${figure.missing}`);
  const readsMemory =
    rule === "set-up" &&
    model.time
      .chain(gap.earlier.path)
      .some((v) => model.chips.some((c) => c.memory && c.chip.ref === v.chip && v.kind === "arc"));
  // A pulse whose end overtakes its begin cancels with it: what is left of one is never shorter than nothing.
  const least = rule === "pulse width" ? 0 : -Infinity;
  const made: Check = {
    ...base,
    rule: readsMemory ? "memory read" : rule,
    symbol,
    required: required?.time ?? 0,
    available: Math.max(least, gap.fs),
    typical: Math.max(least, model.time.typicalGap(gap.earlier, gap.later)),
    earlier: gap.earlier,
    later: gap.later,
    ...(required ? { source: required.source } : {}),
  };
  at.step.checks.push(made);
}
