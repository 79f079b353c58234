export { type Expression, parseExpression, namesIn, evaluate } from "./expression.js";
export type {
  Behaviour,
  BusMaster,
  ClockSource,
  Latch,
  Memory,
  Output,
  Override,
  Pin,
  PinRole,
  Register,
  Storage,
} from "./behaviour.js";
export { memoryPorts } from "./behaviour.js";
export {
  type Change,
  type Delay,
  type Edge,
  type Figures,
  type MemorySymbol,
  type Missing,
  type Requirement,
  type RequirementKind,
  type Source,
  isMissing,
} from "./figures.js";
export { sourceLine } from "./source-line.js";
export type { Oscillation, Package, PackagePin, Part } from "./part.js";
export { type PartProblem, findPart, functionsOf, isPartProblem, listPartNumbers } from "./catalogue.js";
export { findPartWith, isOnRecord, ownFiguresOf, ownNumbers } from "./own-catalogue.js";
export { MEASURED, type OwnFigures, type OwnFunction, type OwnParts, RECALLED } from "./own-parts.js";
export { type MeasuredDelay, narrowed, withMeasured } from "./measured.js";
export { type Metastability, metastabilityOf } from "./metastability.js";
export { type Conditions, DEFAULT_UNSTATED_MINIMUM, TYPICAL_OVER_MAXIMUM, describeConditions } from "./conditions.js";
export { type LoadSlope, loadSlope } from "./allowances.js";
export type {
  CurrentPoint,
  InputFigures,
  LevelFigures,
  OutputFigures,
  SupplyPoint,
  Technology,
  Transition,
} from "./level-figures.js";
export { levelsOf, standardOutputOf } from "./levels.js";
export { outsideKinds, outsideOutput } from "./other-levels.js";
export { type CanSeries, canSeries, stockFrequencies } from "./oscillator-cans.js";
export {
  type DelayRow,
  type FamilyFigures,
  type FigureRow,
  type RequirementRow,
  families,
  familyFigures,
} from "./figure-rows.js";
export { type MemoryRow, memoryRows } from "./memory-rows.js";
export { nearestNames } from "./nearest-names.js";
export { makersOf } from "./usable-rows.js";
export { behaviourOf, behaviours } from "./behaviours/index.js";
export { packageOf, packagesOf } from "./package.js";
export { type BusLine, type Processor, type ProcessorGrade, processorNamed, processors } from "./processors.js";
export { processorPart } from "./processor-part.js";
export {
  type ClockTimes,
  type DerivedTime,
  type ProcessorBus,
  type ProcessorInput,
  type ProcessorProblem,
  type ProcessorUse,
  type SelectTimes,
  inputsText,
  isProcessorProblem,
  processorBus,
} from "./processor-inputs.js";
export { pinNamed, pinsNamed } from "./pin-names.js";
export { pinMatcher } from "./pin-matches.js";
export { type Definition, define, latch, register } from "./behaviours/define.js";
export { type Asked, askedOf, gapsIn, inShort, timesOf } from "./gaps.js";
export { logicNumbersOf, parseLogicNumber, plainNumber } from "./part-number.js";
export { type Arc, type Move, type Through, arcsOf } from "./arcs.js";
export {
  type ClockPin,
  type Recovery,
  type Requirements,
  type Width,
  type Window,
  requirementsOf,
} from "./requirements.js";
export { type Known, type Levels, EITHER, HIGH, LOW, dependsOn, possibleLevels, responseTo } from "./dependence.js";
export { ALWAYS, NEVER, type Truth, TruthDiagrams } from "./truth-diagrams.js";
export { type Change as StateStep, StateChange, movesName } from "./state-change.js";
export { expressionText } from "./expression-text.js";
export { type DipRecord, logicInDip, partInDip } from "./in-dip.js";
export { type FamilyTraits, familyTraits, outputSink } from "./family-traits.js";
export { type SlowestArc, slowestArc, slowestOfBoth } from "./slowest-arc.js";
export { type Placed, hasSamePins, pinCompatible } from "./pin-compatible.js";
export { type NearPart, type Substitute, nearParts, substitutesFor } from "./substitutes.js";
export { memoryControlOf } from "./memory-figures.js";
export { genericMemories, memoriesNamed } from "./memory-numbers.js";
export { type CatalogueEntry, type CatalogueQuery, madeBy, searchCatalogue } from "./catalogue-search.js";
