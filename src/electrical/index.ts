export { type Advice, type ElectricalFindings, type ElectricalOptions, type Rule, judgeElectrical } from "./judge.js";
export type { ElectricalRule } from "./rules.js";
export type { ElectricalVerdict, ReckoningLine } from "./verdict.js";
export { electricalSummary } from "./summary.js";
export { type ElectricalAccount, type ElectricalAccountLine, explainElectrical } from "./explain.js";
export { type Decoupling, type SupplyCapacitor, decoupling } from "./decoupling.js";
