export { type Fs, FS_PER_NS, fs, longFs, ns, inNs, formatTime } from "./time.js";
export { type Range, range } from "./range.js";
export {
  BASE_UNITS,
  type Femtofarads,
  type Measure,
  type Microvolts,
  type Nanoamps,
  type Quantity,
  femtofarads,
  inPlainUnit,
  measure,
  microvolts,
  nanoamps,
  printMeasure,
  timeMeasure,
} from "./measure.js";
export { type Misreading, type Reading, isMisread, valueOf } from "./reading.js";
export {
  type Hertz,
  parseCelsiusRange,
  parseFarads,
  parseHertz,
  parseMeasure,
  parseOhms,
  parsePercent,
  parsePpm,
  parseSeconds,
  parseTime,
  parseTimeRange,
  parseVoltRange,
  parseVolts,
} from "./parse.js";
export {
  printCelsiusRange,
  printFarads,
  printHertz,
  printOhms,
  printPercent,
  printPpm,
  printTime,
  printVoltRange,
  printVolts,
} from "./format.js";
