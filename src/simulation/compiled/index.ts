export { type MachineOptions, Machine } from "./machine.js";
export type { MachineState } from "./machine-state.js";
export type { Recording } from "./recording.js";
export { type FoundDoubt, TooMuchOpen } from "./stepper.js";
export type { DoubtKind } from "./step-view.js";
export { type SeenWithoutDelays, type WithoutDelaysOptions, simulateWithoutDelays } from "./without-delays.js";
