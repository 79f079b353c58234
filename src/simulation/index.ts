export {
  type ChosenDelays,
  type DelayChoice,
  type OscillatorChoice,
  type StandIn,
  STAND_IN_DELAY,
  arcKey,
  chooseDelays,
  wireKey,
} from "./choice.js";
export { compileTables } from "./compile-tables.js";
export { type Driver, type Tables, type Variable, type Wire } from "./tables.js";
export {
  type DriverObserver,
  type NetObserver,
  type PinObserver,
  type SimulatorOptions,
  NoProgress,
  Simulator,
} from "./simulator.js";
export { type SimulatorState, WrongState } from "./simulator-state.js";
export { type PowerUp } from "./power-up.js";
export { type Contention, Contentions } from "./contention.js";
export { type MemoryState, type StrayWrite } from "./memory-state.js";
export { type Value, HIGH, LOW, UNDRIVEN, UNKNOWN, VALUE, VALUE_LETTERS } from "./value.js";
export { Tape, type TwoLevels, record, twoLevels } from "./tape.js";
export { type Outside, type PlannedInputs, SHORT_RESET, planInputs } from "./stimulus.js";
export { type BoardOptions, type PoweredBoard, powerUpBoard } from "./board.js";
export {
  type RecordOptions,
  type ScreenRecord,
  type SeenSignal,
  recordScreen,
  signalOf,
  signalOfTapes,
  videoNets,
} from "./screen.js";
export { type MemoryLayout, type NoLayout, findLayout, layOut } from "./layout.js";
export { type DumpOptions, type DumpedNets, ChangeDump, groupBuses } from "./vcd.js";
export {
  type DumpDeclarations,
  type DumpListener,
  type DumpRemark,
  type DumpSection,
  type DumpVariable,
  type VariableName,
} from "./dump/dump.js";
export { DumpReader } from "./dump/reader.js";
export { DumpRecording } from "./dump/recording.js";
export { type Violation, Watch } from "./watch.js";
export {
  type FrameOptions,
  type FrameResult,
  mostFramesWithDelays,
  ownPicture,
  shapeOf,
  simulateFrame,
} from "./frame.js";
export { type Activity, type ActivityOptions, type Fight, TOGETHER, countActivity } from "./activity.js";
export { type Random, randomBytes, randomFor, randomStream } from "./random.js";
export { type PictureSize, forEachRow, repeatsOf } from "./dots.js";
export { type BoardFault, type BoardReport, runRandomBoard } from "./random-board.js";
export { type BoardStatistics, type FaultStatistics, shortOf, statisticsOf } from "./board-statistics.js";
export { type BoardWaves, replayBoard } from "./replay-board.js";
export { type FileBytes, type ScriptReading, filesOf, readScript } from "./script/read.js";
export { type ScriptOutcome } from "./script/follow.js";
export { type BrokenPromise } from "./script/declared.js";
export { type Landed } from "./script/landed.js";
export { type Script } from "./script/script.js";
export {
  type DoubtKind,
  type FoundDoubt,
  type MachineOptions,
  type MachineState,
  type PoweredMachine,
  type PowerUpMachineOptions,
  type Recording,
  type SeenWithoutDelays,
  type WithoutDelaysOptions,
  BeamScreen,
  Machine,
  TooMuchOpen,
  powerUpMachine,
  simulateWithoutDelays,
} from "./compiled/index.js";
export { type Beam, LiveBoard, type LiveOptions, type NotLive } from "./live-board.js";
