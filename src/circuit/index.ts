export type {
  Acceptance,
  BuildStyle,
  Chip,
  Circuit,
  ExternalInput,
  InputTiming,
  Net,
  NetId,
  Passive,
  PictureNets,
  PinRef,
  Supply,
} from "./circuit.js";
export { type Place, type Problem, formatProblem } from "./problem.js";
export { type CircuitReading, type Places, type ReadOptions, readCircuit } from "./read.js";
export type { FindRaster } from "./header.js";
export type { FindPart } from "./wiring.js";
export { wireDelayOf } from "./build-styles.js";
