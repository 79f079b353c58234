import { type MemorySymbol, type Missing, type Requirement, isMissing } from "../parts/index.js";
import type { Check } from "./check.js";
import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import type { PinModel } from "./model.js";
import { leastGap } from "./moments.js";
import type { Capture } from "./state.js";
import type { Moment } from "./moment.js";
import { check } from "./timed-check.js";

/**
 * Checks one change of a captured pin, all of whose times are known, against the capture: the set-up of one that is meant to
 * come before it, the hold of one that is meant to come after. One that holds several edges and is not clear of the capture
 * has each of them checked on the side on which it is meant to be; where that finds no fault it fails as a whole.
 */
export function checkAround(
  at: ChipStep,
  change: Open,
  reference: PinModel,
  record: Capture,
  isMeantBefore: boolean,
): void {
  const early = at.early(change);
  const late = at.late(change);
  const sides = [
    new Side(at, "before", change.pin, reference, record),
    new Side(at, "after", change.pin, reference, record),
  ] as const;
  const [before, after] = sides;
  // An address that changes once the write has begun comes too late for it.
  const isBefore = isMeantBefore || record.writeEnd === false;
  const whole = isBefore ? before : after;
  const times = isBefore ? late : early;
  if (!change.region.clean && whole.fails(times)) {
    const { time } = at.step.model;
    const reached = reachedAt(at, record);
    const isRelated = (moment: Moment) => !record.early.some((edge) => time.isUnrelated(moment, edge));
    const lateBefore = late.filter((moment) => isRelated(moment) && time.typical(moment) <= reached);
    const earlyAfter = early.filter((moment) => isRelated(moment) && time.typical(moment) > reached);
    if (before.fails(lateBefore) || after.fails(earlyAfter)) {
      if (before.fails(lateBefore)) before.check(lateBefore);
      if (after.fails(earlyAfter)) after.check(earlyAfter);
      return;
    }
    whole.check(times, { isJoined: true });
    return;
  }
  whole.check(times);
}

/**
 * Checks the hold of a change that has only begun: what is known of its causes by now bounds it from one side. Of several
 * edges those that are meant to come before the capture are none of the hold's.
 */
export function checkBeginning(at: ChipStep, change: Open, reference: PinModel, record: Capture): void {
  const early = at.early(change);
  const reached = reachedAt(at, record);
  const after = change.region.clean ? early : early.filter((one) => at.step.model.time.typical(one) > reached);
  new Side(at, "after", change.pin, reference, record).check(after.length > 0 ? after : early);
}

/** When the capture is at typical delays. */
function reachedAt(at: ChipStep, { early }: Capture): number {
  return Math.max(...early.map((moment) => at.step.model.time.typical(moment)));
}

/** What one side of a capture asks of a pin: set-up or hold, or what a memory asks before or after the end of a write. */
class Side {
  readonly #at: ChipStep;
  readonly #side: "before" | "after";
  readonly #pin: PinModel;
  readonly #reference: PinModel;
  readonly #record: Capture;
  readonly #symbol: MemorySymbol | "tsu" | "th";
  readonly #required: Requirement | Missing;

  constructor(at: ChipStep, side: "before" | "after", pin: PinModel, reference: PinModel, record: Capture) {
    this.#at = at;
    this.#side = side;
    this.#pin = pin;
    this.#reference = reference;
    this.#record = record;
    const { figures } = at.chip.chip.part;
    if (record.writeEnd === undefined) {
      this.#symbol = side === "before" ? "tsu" : "th";
      this.#required = figures.window(side === "before" ? "set-up" : "hold", pin.name, reference.name);
    } else {
      const symbol = record.writeEnd ? writeSymbol(at, side, pin) : "tAS";
      this.#symbol = symbol;
      this.#required = figures.memory(symbol);
    }
  }

  /** Whether a change that comes at the worst of these times is too near to the capture. */
  fails(times: readonly Moment[]): boolean {
    const gap = leastGap(this.#at.step.model.time, ...this.#ordered(times));
    return gap !== undefined && gap.fs < (isMissing(this.#required) ? 0 : this.#required.time);
  }

  check(times: readonly Moment[], more: Pick<Check, "isJoined"> = {}): void {
    const rule = this.#record.writeEnd !== undefined ? "memory write" : this.#side === "before" ? "set-up" : "hold";
    check(this.#at, rule, this.#symbol, this.#pin, this.#reference, ...this.#ordered(times), this.#required, more);
  }

  #ordered(times: readonly Moment[]): [earlier: readonly Moment[], later: readonly Moment[]] {
    return this.#side === "before" ? [times, this.#record.early] : [this.#record.late, times];
  }
}

/** The memory's figure for a pin about the end of a write. */
function writeSymbol(at: ChipStep, side: "before" | "after", pin: PinModel): MemorySymbol {
  const { memory } = at.chip;
  const isData = memory?.data.includes(pin.slot) ?? false;
  if (side === "after") return isData ? "tDH" : "tWR";
  return isData ? "tDW" : memory?.address.includes(pin.slot) ? "tAW" : "tCW";
}
