export { type MachineOptions, Machine } from "./machine.js";
export type { FoundDoubt } from "./stepper.js";
export type { DoubtKind } from "./step-view.js";
