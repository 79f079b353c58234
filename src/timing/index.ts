export type { Check, RuleName } from "./check.js";
export type { FrameShape, Occasion } from "./occasion.js";
export { type IdleAcceptance, type Proof, ProofStopped, type ProveOptions, prove } from "./prove.js";
export {
  type Accepted,
  type ChainStep,
  type Chains,
  type NameParts,
  type Verdict,
  type VerdictRule,
  type VerdictState,
  type Weakness,
  countsAgainst,
  worstFirst,
} from "./verdict.js";
export { type Group, type GroupState, groupState, groupsOf } from "./groups.js";
export { type Summary, summary } from "./summary.js";
export { nsText } from "./ns-text.js";
export { type Account, type AccountLine, explain } from "./explain.js";
export { limitsInShort, modelLimits } from "./limits.js";
