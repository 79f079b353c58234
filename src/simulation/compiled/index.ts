export { type FoundDoubt, type MachineOptions, Machine } from "./machine.js";
export type { DoubtKind } from "./step-view.js";
