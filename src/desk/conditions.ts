import type { Circuit } from "../circuit/index.js";
import { type Conditions, DEFAULT_UNSTATED_MINIMUM } from "../parts/index.js";

/** The conditions under which a circuit's figures are chosen; those of the catalogue where there is no circuit. */
export function conditionsOf(circuit: Circuit | undefined): Conditions {
  if (!circuit) {
    return {
      supplyVolts: { min: 4.5, max: 5.5 },
      ambientCelsius: { min: 0, max: 70 },
      unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
    };
  }
  const { supplyVolts, ambientCelsius, makers, unstatedMinimum } = circuit;
  return { supplyVolts, ambientCelsius, makers, unstatedMinimum };
}
