export type { Coverage } from "./coverage.js";
export type { Check, RuleName } from "./check.js";
export type { FrameShape, Occasion } from "./occasion.js";
export { type Proof, ProofStopped, type ProveOptions, prove } from "./prove.js";
export type { Between, ChainStart, ChainStep, Chains, Shown, Verdict, VerdictRule } from "./verdict.js";
export { summary } from "./summary.js";
export { nsText } from "./ns-text.js";
export { type Account, type AccountLine, explain } from "./explain.js";
export { limitsInShort, modelLimits } from "./limits.js";
