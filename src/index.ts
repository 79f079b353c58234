/**
 * The library: what the commands do, from code; docs/library.md shows it in use. Nothing here touches files, processes or the
 * clock, so it runs in a browser as well. Readers return the problems they met and never throw for any text.
 */

// Reading circuits and parts.
export {
  type Circuit,
  type CircuitReading,
  type Problem,
  type ReadOptions,
  circuitSchema,
  formatProblem,
  ownPartsNamed,
  readCircuit,
  readOwnParts,
} from "./circuit/index.js";
export { type Conditions, type Part, type PartProblem, findPart, isPartProblem } from "./parts/index.js";

// Proving.
export { type Judgement, type Progress, judge, silentProgress } from "./judging/index.js";
export { settleExactly } from "./exact/index.js";
export { type Account, type Verdict, explain, summary } from "./timing/index.js";
export { type ElectricalVerdict, electricalSummary, explainElectrical } from "./electrical/index.js";
export { countsAgainst, worstFirst } from "./verdict/index.js";

// Simulating, and what a monitor makes of it.
export { type FrameOptions, type FrameResult, LiveBoard, simulateFrame } from "./simulation/index.js";
export {
  type Picture,
  type PublishedRaster,
  encodePng,
  findRaster,
  hertz,
  inHertz,
  publishedRasters,
} from "./raster/index.js";

// Wiring.
export { type WiringList, partsList, pinMaps, wiringList, wiringText } from "./paper/index.js";

// Planning.
export { type Design, type Plan, type Wishes, DEFAULT_WISHES, designOf, searchPlans } from "./planning/index.js";

// Filling the memory.
export { type Font, fillScreen, mapScreen, ownFont, readFont, readImage, writeImage } from "./loading/index.js";

// Quantities: times are whole femtoseconds.
export { type Fs, type Hertz, formatTime, fs, inNs, ns } from "./quantity/index.js";
