export { type JudgeListener, type Judgement, judge, proveWhole } from "./judge.js";
export { observe } from "./observe.js";
export { type Progress, type Report, silentProgress } from "./progress.js";
