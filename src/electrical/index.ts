export {
  type Advice,
  type ElectricalFindings,
  type ElectricalOptions,
  type Fight,
  type Rule,
  judgeElectrical,
} from "./judge.js";
export type { ElectricalRule } from "./rules.js";
export type { ElectricalVerdict, ReckoningLine } from "./verdict.js";
export { electricalSummary } from "./summary.js";
export { type ElectricalAccount, type ElectricalAccountLine, explainElectrical } from "./explain.js";
export { edgeRateOf } from "./edge-rates.js";
export { type LoadDelay, loadDelays, underLoad } from "./load-delays.js";
export { type Decoupling, type SupplyCapacitor, decoupling } from "./decoupling.js";
export { type NetworkChoice, type NetworkGoal, bestNetwork, networkOf } from "./network-search.js";
export { type Series, preferredValues } from "./preferred-values.js";
export { highLevelAt, lowLevelAt, mostCurrent, thresholdAt } from "./output-level.js";
export { type SheetFigure, ownSupplyCurrent } from "./supply-currents.js";
