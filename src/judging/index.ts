export { type CircuitChange, circuitChanges } from "./circuit-changes.js";
export { type JudgementComparison, type MovedVerdict, compareJudgements } from "./compare.js";
export { type JudgeListener, type JudgeOptions, type Judgement, judge, proveWhole } from "./judge.js";
export { observe } from "./observe.js";
export { type Progress, type Report, silentProgress } from "./progress.js";
