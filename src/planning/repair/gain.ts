import type { Chip, Circuit } from "../../circuit/index.js";
import { type Conditions, type Part, isMissing } from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import type { Verdict } from "../../timing/index.js";

/**
 * What another part in a chip's place adds to a verdict's margin, in nanoseconds, by the delays of its chains and its
 * requirement; the load of nets is left out. -Infinity where a figure is missing.
 */
export function gainOf(verdict: Verdict, chip: Chip, other: Part): number {
  const { chains, chip: ref, required } = verdict;
  let gain = 0;
  for (const step of chains ? [...chains.earlier, ...chains.later] : []) {
    if (step.chip !== chip.ref || step.kind !== "arc" || step.cancelled) continue;
    if (step.edge === undefined || step.change === undefined) continue;
    const now = chip.part.figures.delay(step.from, step.edge, step.to, step.change);
    const then = other.figures.delay(step.from, step.edge, step.to, step.change);
    if (isMissing(now) || isMissing(then)) return -Infinity;
    // The earlier chain counts with its longest delays where the gap is taken at its least.
    gain += step.used === "max" ? inNs(now.max) - inNs(then.max) : inNs(then.min) - inNs(now.min);
  }
  if (ref !== chip.ref || required === undefined) return gain;
  const then = requirementOf(other, verdict);
  return then === undefined ? gain : gain + inNs(required) - then;
}

/** In nanoseconds; undefined where a verdict of that rule asks for nothing, or no sheet gives it. */
function requirementOf(part: Part, { rule, symbol, pin, reference }: Verdict): number | undefined {
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
