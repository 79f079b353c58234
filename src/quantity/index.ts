export { type Fs, FS_PER_NS, fs, ns, inNs, formatTime } from "./time.js";
export { type Range, range } from "./range.js";
export { type Misreading, type Reading, isMisread, valueOf } from "./reading.js";
export {
  type Hertz,
  parseCelsiusRange,
  parseFarads,
  parseHertz,
  parseOhms,
  parsePercent,
  parsePpm,
  parseTime,
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
