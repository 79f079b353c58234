export { cyclesInTime, divide, fromPeriodPs, hertz, inHertz, multiply, timeOfCycles } from "./frequency.js";
export {
  type ActiveShare,
  type AxisTimes,
  type AxisTiming,
  type Polarity,
  type Raster,
  activeShare,
  dotShape,
  dotsBeforePicture,
  fieldRate,
  fieldsPerFrame,
  frameRate,
  frameTimes,
  lineRate,
  lineTimes,
  linesBeforePicture,
  linesPerField,
  rasterProblems,
  timeOfDots,
  timeOfLines,
} from "./raster.js";
export { type PublishedRaster, publishedRasters } from "./published.js";
export { type RasterLookup, findRaster, shortName } from "./lookup.js";
export {
  type DisplayDemand,
  byteTime,
  displayDemand,
  divideInTurn,
  mostDotsInLine,
  pictureMemory,
  slotTime,
} from "./demand.js";
export { type Waveform, levelAt } from "./waveform.js";
export type { VideoNets } from "./video.js";
export { type Glitch, type SyncPulses, findSyncPulses } from "./pulses.js";
export { type Lock, type NoLock, type SyncNets, lock } from "./lock.js";
export { type CompositeSync, type SeparateSyncs, type VerticalKind, separateSyncs } from "./composite.js";
export { type Comparison, type Recognition, TOLERANCE, compare, recognise } from "./recognise.js";
export { type Displacement, type Scan, type ScanLine, countFrames, scanFrame } from "./scan.js";
export type { DotPhase } from "./position.js";
export { type BlackLevelError, describeBlackLevel } from "./black-level.js";
export type { DarkPart, LitArea, StrayLight } from "./light.js";
export type { SeenPorch, SeenPorches } from "./porches.js";
export {
  type TelevisionComparison,
  type TelevisionFigure,
  type TelevisionSystem,
  compareTelevision,
  televisionSystems,
} from "./television.js";
export { type Unheld, drawUnheld } from "./unheld.js";
export type { Finding } from "./finding.js";
export type { PictureFacts } from "./findings.js";
export {
  type MonitorRange,
  type MonitorSettings,
  type MonitorSignal,
  type NoPicture,
  type Shown,
  watch,
} from "./monitor.js";
export { parseMonitorRange } from "./monitor-range.js";
export {
  type Depth,
  type Picture,
  type PictureDifference,
  MONO,
  blackPicture,
  comparePictures,
  dotAt,
  toGrey,
  toRgb,
} from "./picture.js";
export { type Reduced, reduce } from "./repeats.js";
export { type Packing, packRows } from "./pack.js";
export { drawTestCard } from "./test-card.js";
export { encodePng } from "./png.js";
export { Animation } from "./animation.js";
