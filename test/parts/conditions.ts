import { type Conditions, type Part, findPart, isPartProblem } from "../../src/parts/index.js";

export { inNs } from "../../src/quantity/index.js";
export { type Change, isMissing } from "../../src/parts/index.js";

/** A room and a supply of 5 V within 10 %. */
export const atHome: Conditions = {
  supplyVolts: { min: 4.5, max: 5.5 },
  ambientCelsius: { min: 0, max: 50 },
  unstatedMinimum: { fractionOfTypical: 0.25 },
};

/** Exactly 4.5 V and 25 °C, for which data sheets compute their examples. */
export const onTheBench: Conditions = {
  ...atHome,
  supplyVolts: { min: 4.5, max: 4.5 },
  ambientCelsius: { min: 25, max: 25 },
};

/** The supply at which a family is used: 3.3 V for LVC, 5 V within 10 % for the others. */
export function usualConditions(family: string): Conditions {
  return family === "LVC" ? { ...atHome, supplyVolts: { min: 3, max: 3.6 } } : atHome;
}

/** The part, or an error with the catalogue's own words. */
export function part(number: string, conditions: Conditions = atHome): Part {
  const found = findPart(number, conditions);
  if (isPartProblem(found)) throw new Error(found.problem);
  return found;
}

/** One maker's part at 4.5 V and 25 °C. */
export function onTheBenchPart(number: string, maker: string): Part {
  return part(number, { ...onTheBench, makers: new Map([[number, maker]]) });
}
