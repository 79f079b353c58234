export type { Coverage } from "./coverage.js";
export type { Check, RuleName } from "./check.js";
export type { FrameShape, Occasion } from "./occasion.js";
export { type Proof, ProofStopped, type ProveOptions, controlNets, prove } from "./prove.js";
export type {
  Between,
  BoardDelay,
  ChainStart,
  ChainStep,
  Chains,
  Exact,
  Shown,
  Verdict,
  VerdictRule,
} from "./verdict.js";
export { masterVerdicts } from "./master-verdicts.js";
export { sectionsOf } from "./sections.js";
export { summary } from "./summary.js";
export { nsText } from "./ns-text.js";
export { type Account, type AccountLine, explain } from "./explain.js";
export { limitsInShort, modelLimits } from "./limits.js";
export type { Clock, Phase, Work } from "./work.js";
export type { SynchroniserTime } from "./synchroniser-time.js";
export { EITHER, HIGH, LOW, UNDRIVEN } from "./level-set.js";
export type { Logic } from "./compiled-logic.js";
export {
  type CellModel,
  type ChipModel,
  type Model,
  type NetModel,
  type OutputModel,
  type PinModel,
  buildModel,
} from "./model.js";
