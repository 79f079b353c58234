import type { Violation } from "../../src/simulation/index.js";
import type { Check } from "../../src/timing/check.js";
import type { Discrepancy } from "./waves-compare.js";
import type { Proof } from "./waves-proof.js";
import type { Run } from "./waves-run.js";

/** What comparing margins came to. */
export interface MarginComparison {
  readonly discrepancies: readonly Discrepancy[];
  /** Places at which the least simulated gap was held against the proof's. */
  readonly places: number;
}

/**
 * Holds the least gaps at the pins of a board against the margins of the proof. `asked` is a run of the same board whose
 * requirements are longer than any gap of interest, up to just before the time until which the proof's bounds hold.
 */
export function compareMargins(proof: Proof, asked: Run, until: number): MarginComparison {
  const proved = new Map<string, number>();
  for (const { tick, check } of proof.checks) {
    if (asked.start + tick * asked.period > until) continue;
    const place = placeOfCheck(check);
    proved.set(place, Math.min(proved.get(place) ?? Infinity, check.available));
  }
  const discrepancies = asked.violations.flatMap((violation): readonly Discrepancy[] => {
    const place = placeOfViolation(violation);
    const least = proved.get(place);
    const said = `${place}: ${violation.actual} fs simulated`;
    if (least === undefined) return [{ what: "unchecked", time: violation.worstAt, text: `${said}, never checked` }];
    if (least <= violation.actual) return [];
    return [{ what: "margin", time: violation.worstAt, text: `${said}, at least ${least} fs proved` }];
  });
  return { discrepancies, places: asked.violations.length };
}

function placeOfCheck({ rule, chip, pin, reference, symbol }: Check): string {
  if (rule === "pulse width") return `${rule} ${symbol.replace("tw ", "")} of ${chip} ${pin}`;
  return rule === "clock period" ? `${rule} of ${chip} ${pin}` : `${rule} of ${chip} ${pin} to ${reference}`;
}

function placeOfViolation({ rule, chip, pin, reference, required }: Violation): string {
  if (rule === "pulse width") return `${rule} ${required.kind.replace("width ", "")} of ${chip.ref} ${pin}`;
  return rule === "clock period"
    ? `${rule} of ${chip.ref} ${pin}`
    : `${rule} of ${chip.ref} ${pin} to ${reference ?? ""}`;
}
