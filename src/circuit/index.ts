export type {
  Acceptance,
  BuildStyle,
  BusMaster,
  Chip,
  Circuit,
  ExternalInput,
  InputTiming,
  MasterFinding,
  Net,
  NetId,
  OutsideLevels,
  Passive,
  PictureNets,
  PinRef,
  Supply,
} from "./circuit.js";
export { type Place, type Problem, formatProblem } from "./problem.js";
export { type CircuitReading, type ReadOptions, readCircuit } from "./read.js";
export type { Places } from "./places.js";
export { type Remarks, remarksOf } from "./remarks.js";
export { type BoardWiring, type CsvOptions, type CsvReading, readCsv, writeCsv } from "./csv.js";
export { type CsvToYaml, csvToYaml } from "./csv-to-yaml.js";
export { expandNames } from "./names.js";
export { circuitSchema } from "./shape.js";
export { type OwnPartsReading, readOwnParts } from "./own-parts/read.js";
export { ownPartsSchema } from "./own-parts/shape.js";
export { type OwnPartsText, ownPartsNamed } from "./own-parts/use.js";
export type { FindRaster } from "./header.js";
export type { FindPart } from "./wiring.js";
export { boardOscillators, drivesNet, isCommanded, netsFromOutside } from "./followed.js";
export { buildStyles, nsPerMetre, wireCapacitanceOf, wireDelayOf } from "./build-styles.js";
export { canHold, drivingOf } from "./driving.js";
export { withFigures } from "./with-figures.js";
export { outsideOutputOf } from "./outside-levels.js";
export { meaningOf } from "./meaning.js";
