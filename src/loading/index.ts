/** Filling the memory: what it is to hold, and how that gets there. */
export { type MappedScreen, type RunningScreen, mapRunning, mapScreen, powerScreen } from "./mapping/screen.js";
export { Views } from "./view/views.js";
export { type ViewWay } from "./view/learn-view.js";
export { type NextView, hiddenPage, scrolled } from "./view/next-view.js";
export {
  type NetDots,
  type NoMap,
  type ScreenMap,
  foretellPicture,
  neededWords,
  shownMemories,
} from "./mapping/screen-map.js";
export { type Contents, memoriesOf, wordsOf } from "./mapping/bit-numbers.js";
export { type ShownScreen, showScreen } from "./show.js";
export { type FillOptions, type Filled, fillScreen } from "./fill/compose.js";
export type { Layer, Place } from "./fill/layer.js";
export { type CellGrid, cellsOf } from "./fill/cells.js";
export { type DotValues, valuesOf } from "./fill/palette.js";
export { makeCharacterRom } from "./fill/character-rom.js";
export { type Font, isPacked, largestFont, ownFont, readFont } from "./font/index.js";
export { type ColourImage } from "./picture/colour-image.js";
export { type Dither, dithers } from "./picture/dither.js";
export { type Crop, type Filter, type Fit, filters, fits } from "./picture/fit.js";
export { decodePicture } from "./picture/decode.js";
export {
  type Format,
  type MemoryImage,
  type Refused,
  differenceOf,
  formatOf,
  formats,
  givenCount,
  hex,
  isRefused,
  readImage,
  writeImage,
} from "./format/index.js";
export { type ListReading, filesNamedIn, readLoadingList } from "./script/read.js";
export { loadingSchema } from "./script/shape.js";
export { type NoPath, learnWritePath } from "./transfer/learn.js";
export { type BitSource, type Stage, type WritePath } from "./transfer/write-path.js";
export { type Numbering, numberingOf, renumbered } from "./transfer/numbering.js";
export { type CycleStep, type DescribedStep, describeByte, describeCycle } from "./transfer/describe.js";
export { type TransferRate, rateOf } from "./transfer/rate.js";
export { bestOrder } from "./transfer/order.js";
export { type SentByte, Sender } from "./transfer/sender.js";
export { PlayedTransfer, playAll } from "./transfer/play.js";
export { type SentView, writeC } from "./transfer/c-source.js";
export { type Landing, isForBlanking, landingOf, landingsOf } from "./transfer/landing.js";
export { driverOf } from "./transfer/pins.js";
export { type Sample, type Sending, sampleOf } from "./sample.js";
