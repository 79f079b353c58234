export { type ExactOptions, type SettledExactly, settleExactly } from "./settle-exactly.js";
export type { Work as ExactWork } from "./work.js";
