import type { Chip, Circuit } from "../../circuit/index.js";
import {
  type Conditions,
  type Delay,
  type Change as DelayChange,
  type Edge,
  type Part,
  isMissing,
} from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import type { Verdict } from "../../timing/index.js";

/** The times of what may stand in a chip's place, by the pins of that chip. */
export interface StandInTimes {
  /** Limits of an arc; undefined where it is not known. */
  delay(from: string, edge: Edge, to: string, change: DelayChange): Pick<Delay, "min" | "max"> | undefined;
  /** What a verdict at the chip asks for then, in nanoseconds; undefined where it asks for nothing or nobody knows. */
  asked(verdict: Verdict): number | undefined;
}

/** Those of another part with the same pins. */
export function timesOfPart(part: Part): StandInTimes {
  return {
    delay: (from, edge, to, change) => knownDelay(part, from, edge, to, change),
    asked: (verdict) => requirementOf(part, verdict, verdict.pin, verdict.reference),
  };
}

/** Undefined where no sheet gives it. */
export function knownDelay(part: Part, from: string, edge: Edge, to: string, change: DelayChange) {
  const found = part.figures.delay(from, edge, to, change);
  return isMissing(found) ? undefined : found;
}

/** What another part with the same pins adds to a verdict's margin, as `gainBy` says. */
export function gainOf(verdict: Verdict, chip: Chip, other: Part): number {
  return gainBy(verdict, chip, timesOfPart(other));
}

/**
 * What something in a chip's place adds to a verdict's margin, in nanoseconds, by the delays of its chains and its
 * requirement; the load of nets is left out. -Infinity where a figure is missing.
 */
export function gainBy(verdict: Verdict, chip: Chip, times: StandInTimes): number {
  const { chains, chip: ref, required } = verdict;
  let gain = 0;
  for (const step of chains ? [...chains.earlier, ...chains.later] : []) {
    if (step.chip !== chip.ref || step.kind !== "arc" || step.cancelled) continue;
    if (step.edge === undefined || step.change === undefined) continue;
    const now = knownDelay(chip.part, step.from, step.edge, step.to, step.change);
    const then = times.delay(step.from, step.edge, step.to, step.change);
    if (!now || !then) return -Infinity;
    // The earlier chain counts with its longest delays where the gap is taken at its least.
    gain += step.used === "max" ? inNs(now.max) - inNs(then.max) : inNs(then.min) - inNs(now.min);
  }
  if (ref !== chip.ref || required === undefined) return gain;
  const then = times.asked(verdict);
  if (then !== undefined) return gain + inNs(required) - then;
  // From one output to another nothing is asked but that they come one after the other.
  return verdict.rule === "contention" || verdict.rule === "undriven" ? gain : -Infinity;
}

/** At a pin of a part, in nanoseconds; undefined where a verdict of that rule asks for nothing, or no sheet gives it. */
export function requirementOf(
  part: Part,
  { rule, symbol }: Pick<Verdict, "rule" | "symbol">,
  pin: string,
  reference: string,
): number | undefined {
  const found = askedBy(part, rule, symbol, pin, reference);
  return found === undefined || isMissing(found) ? undefined : inNs(found.time);
}

function askedBy({ figures, behaviour }: Part, rule: Verdict["rule"], symbol: string, pin: string, reference: string) {
  switch (rule) {
    case "set-up":
    case "memory read":
      return figures.window("set-up", pin, reference);
    case "hold":
      return figures.window("hold", pin, reference);
    case "pulse width":
      return figures.width(pin, symbol.endsWith("high") ? "high" : "low");
    case "recovery":
      return figures.recovery(pin, reference);
    case "clock period":
      return figures.period(pin);
    default:
      return behaviour.memory ? figures.memory(symbol as Parameters<typeof figures.memory>[0]) : undefined;
  }
}

/** The conditions of a chip in its circuit. */
export function conditionsFor({ ambientCelsius, unstatedMinimum, makers }: Circuit, { supply }: Chip): Conditions {
  return { supplyVolts: supply.volts, ambientCelsius, unstatedMinimum, makers };
}
