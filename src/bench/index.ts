export { type Board, type BoardPin, type PinId, boardOf, pinLabel } from "./board/board.js";
export { type Edit, bothEdits } from "./board/variant.js";
export { type Fault, type FaultKind } from "./faults/fault.js";
export { faultsOf } from "./faults/enumerate.js";
export {
  type BenchOptions,
  type FaultBench,
  type KnownBench,
  faultBenchOf,
  knownBenchOf,
} from "./signature/catalogue.js";
export { EditPlan, type StagedBoards, Stages, simulateEdits, simulateStage } from "./signature/stages.js";
export { keepSignatures, readSignatures } from "./signature/keep.js";
export { type Reading, ReadingTable, type Readings } from "./signature/reading.js";
export { sameFaultsText } from "./signature/same-faults.js";
export type { ScenarioOptions } from "./signature/scenario.js";
export { CELLS_HIGH, CELLS_WIDE } from "./signature/screen-cells.js";
export { type ScreenSignature, hashOf } from "./signature/screen-signature.js";
export { FAULTS_IN_GROUP, type Signature } from "./signature/simulate-group.js";
export { type Observation, fits, observationOf } from "./diagnose/observation.js";
export { type ObservationProblem, readObservation } from "./diagnose/read-observation.js";
export { type Probe, type Suspect, Suspicion } from "./diagnose/suspicion.js";
export { type Pair, type PairSearch, searchPairs } from "./diagnose/pairs.js";
export { observationText, readingText } from "./diagnose/words.js";
export {
  type BringUpStep,
  type Check,
  type Instrument,
  bringUpOf,
  explainHertz,
  whoseHertz,
} from "./bring-up/bring-up.js";
export { type Finding, judgeFound } from "./bring-up/judge-found.js";
export { type Entry, type EntryKind, entryKinds, entryLine, standingMeasurements } from "./notebook/entry.js";
export { type Notebook, type NotebookProblem, readEntry, readNotebook } from "./notebook/read-notebook.js";
export { appendix, notebookName } from "./notebook/append-entry.js";
export { type Look, galleryOf, looksLike } from "./diagnose/gallery.js";
export { type Match, matchLooks } from "./diagnose/match-looks.js";
export { type Corners, type Photograph, straighten } from "./diagnose/photograph.js";
export { type ChannelReading, DumpMeter } from "./capture/capture-meter.js";
export { type ComparedCapture, type ComparedChannel, compareCapture } from "./capture/compare.js";
export { type CaptureListener, FirstEdges } from "./capture/captured-edges.js";
export {
  type AlignedBegin,
  type CaptureDeparture,
  type CapturedBegin,
  type NotAligned,
  alignBegin,
  comparedSeconds,
  departureOf,
  firstDepartureOf,
  followerOf,
} from "./capture/first-departure.js";
export { departureLines } from "./capture/departure-text.js";
export { TableMeter } from "./capture/table-meter.js";
export { seeingRecipe } from "./seeing-recipe.js";
