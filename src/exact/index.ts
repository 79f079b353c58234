export { type ExactCost, type ExactOptions, type SettledExactly, settleExactly } from "./settle-exactly.js";
export { ExactStage } from "./stage.js";
