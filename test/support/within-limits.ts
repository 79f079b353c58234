import type { Circuit } from "../../src/circuit/circuit.js";
import type { Scene } from "../../src/evidence/index.js";
import { oscillatorAt } from "../../src/evidence/corner.js";
import { arcsOf, isMissing } from "../../src/parts/index.js";
import { arcKey } from "../../src/simulation/index.js";

/** What of a board lies outside its limits: arcs against the figures of their chips, wires, period and high time. */
export function outsideLimits(circuit: Circuit, { corner }: Scene): readonly string[] {
  const limits = new Map<string, { readonly min: number; readonly max: number }>();
  for (const { ref, part } of circuit.chips) {
    for (const { from, to, moves } of arcsOf(part.behaviour)) {
      for (const { edge, change } of moves) {
        const figure = part.figures.delay(from, edge, to, change);
        if (!isMissing(figure)) limits.set(arcKey(ref, from, edge, to, change), figure);
      }
    }
  }
  const arcs = [...corner.arcs].filter(([key, value]) => {
    const own = limits.get(key);
    return !own || value < own.min || value > own.max;
  });
  const { wireDelay } = circuit;
  const wires = [...corner.wires].filter(([, value]) => value < wireDelay.min || value > wireDelay.max);
  const can = circuit.chips.find(({ part }) => part.oscillation)?.part.oscillation;
  if (!can) throw new RangeError("no oscillator");
  const { period, high } = oscillatorAt(can, corner);
  const isOff =
    period < can.period.min || period > can.period.max || high < can.duty.min * period || high > can.duty.max * period;
  return [...arcs.map(([key]) => key), ...wires.map(([key]) => key), ...(isOff ? ["the oscillator"] : [])];
}
