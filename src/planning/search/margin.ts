import { type Sharing, needsLoadDrivers } from "../design.js";
import type { LogicProfile } from "./logic-profile.js";
import type { MemoryChoice } from "./memory-choice.js";

/** What of a plan decides its margin, times in nanoseconds. */
export interface PlanTimes {
  /** One memory cycle. */
  readonly cell: number;
  /** An eighth of a cell: the ring's clock period. */
  readonly phase: number;
  /** One dot as it is shifted out. */
  readonly dot: number;
  /** The shortest high time of the ring's clock. */
  readonly clockHigh: number;
  /** The shortest high time of the can, where flip-flops divide it; absent where it is the ring's clock itself. */
  readonly canHigh?: number;
  /** Whether a phase is 1, 2, 4 ... periods of the can, as in circuits that are written; else what registers a load is open. */
  readonly isWritten: boolean;
  readonly isText: boolean;
  readonly bitsPerDot: number;
}

/** One path of the estimate: the time that it has less the time that it needs, in nanoseconds. */
export interface PathMargin {
  readonly path: PathName;
  readonly margin: number;
}

export type PathName =
  | "ring of phases"
  | "ring's reset"
  | "strobe decoder"
  | "strobe flip-flop"
  | "clock high time"
  | "half a phase"
  | "can's high time"
  | "shift register's clock"
  | "load into the shift register"
  | "display read"
  | "processor's read"
  | "columns to lines"
  | "hand-over of the address"
  | "hand-over of the data"
  | "write pulse"
  | "address before the write begins"
  | "address before the write ends"
  | "data before the write ends"
  | "processor's data before the write ends"
  | "character ROM";

/** How each path is reckoned, in the words of the documents and of `--why`. */
export const PATH_FORMULAS: Readonly<Record<PathName, string>> = {
  "ring of phases": "one phase − clock to Q − set-up − 2 wires",
  "ring's reset": "one phase − the shortest with which the ring, its reset and its strobes were proved",
  "strobe decoder": "one phase − ring's clock to Q − decoder − register's set-up − 3 wires",
  "strobe flip-flop": "one phase − register's clock to Q − strobe flip-flop's set-up − 2 wires",
  "clock high time":
    "shortest high time − what the ring, the strobes and the shift register ask for; where flip-flops or gates make the clock, less the spread of their delays, 1 wire and 4 ns for all that hangs on it",
  "half a phase":
    "shortest high time − strobe's clock to Q − write strobe's set-up − 2 wires, less the same of the clock",
  "can's high time": "shortest high time of the can − what the flip-flop that divides it asks for",
  "shift register's clock": "one dot − the shortest clock period of the shift register",
  "load into the shift register":
    "one phase − strobe's clock to Q − shift register's set-up − 2 wires; with four fast ones less 9 ns for their load, or in a phase of less than 49 ns less a driver and its wire, behind a quicker flip-flop",
  "display read":
    "the phases until the load − ring's clock to Q − buffer's enable − access time − shift register's set-up − 4 wires; with two banks less what selects between them and its wire",
  "processor's read":
    "the phases until it is taken − ring's clock to Q − inverter where logic is fast − buffer's enable − access time − register's set-up − 4 wires; from the RAM's output enable, a phase later, the same with its access from there",
  "columns to lines": "one cell − counter's clock to Q − three gates − counter's set-up − 5 wires",
  "hand-over of the address":
    "one phase + earliest clock to Q and enable of the next owner − latest clock to Q and disable of the last − 2 wires; of 74HC 3.4 ns less for each enable beyond the first",
  "hand-over of the data":
    "one phase + earliest clock to Q and enable of the next owner − latest clock to Q and release of the last − 2 wires",
  "write pulse":
    "one phase − spread of the write strobe's clock to Q, and of the inverter where logic is fast − 1 wire − tWP",
  "address before the write begins":
    "the phases until the write begins − ring's clock to Q − inverter where logic is fast − latch's enable − 4 wires, the strobe at its earliest; where logic is fast less 1.7 ns and more for the loads of two banks, text and a third latch",
  "address before the write ends":
    "the phases until the write ends − ring's clock to Q − latch's enable − 3 wires − tAW, the strobe at its earliest",
  "data before the write ends":
    "the phases until the write ends − ring's clock to Q − latch's enable − 3 wires − tDW, the strobe at its earliest",
  "processor's data before the write ends":
    "the phases until the write ends − clock to Q of the processor's clock − the 25 ns of a W65C02S − buffer − 4 wires − tDW, the strobe at its earliest",
  "character ROM": "one cell − latch's clock to Q − access time − shift register's set-up − 3 wires",
};

/**
 * Estimated margins of what the logic does by itself, from data-sheet limits at 50 pF: what `PATH_FORMULAS` says. An estimate
 * for choosing among plans; the proof of the written circuit knows the loads and every path. `characterRom` is its access time.
 */
export function logicPaths(
  plan: PlanTimes,
  { family, times, wire, leastPhase }: LogicProfile,
  characterRom: number | undefined,
): readonly PathMargin[] {
  const { cell, phase, dot, clockHigh, canHigh, isWritten } = plan;
  const { ring, decoder, decodeRegister, strobe, divider, shifter, counter, gate, characterLatch } = times;
  const blurred = clockBlur(times, wire, family, canHigh !== undefined);
  const counting = counter.clockToOutput.max + 3 * gate.propagation.max + counter.setUp;
  const paths: PathMargin[] = [
    { path: "ring's reset", margin: phase - leastPhase },
    { path: "ring of phases", margin: phase - ring.clockToOutput.max - ring.setUp - 2 * wire },
    {
      path: "strobe decoder",
      margin: phase - ring.clockToOutput.max - decoder.propagation.max - decodeRegister.setUp - 3 * wire,
    },
    { path: "strobe flip-flop", margin: phase - decodeRegister.clockToOutput.max - strobe.setUp - 2 * wire },
    {
      path: "clock high time",
      margin: clockHigh - blurred - Math.max(ring.clockHigh, isWritten ? strobe.clockHigh : 0, shifter.clockHigh),
    },
    ...(family === "HC"
      ? [
          {
            path: "half a phase" as const,
            margin: clockHigh - blurred - decodeRegister.clockToOutput.max - divider.setUp - 2 * wire,
          },
        ]
      : []),
    ...(canHigh === undefined ? [] : [{ path: "can's high time" as const, margin: canHigh - divider.clockHigh }]),
    { path: "shift register's clock", margin: dot - shifter.clockPeriod },
    {
      path: "load into the shift register",
      margin: phase - loadDelay() - shifter.setUp - 2 * wire,
    },
    { path: "columns to lines", margin: cell - counting - 5 * wire },
  ];
  if (characterRom === undefined) return paths;
  const reading = characterLatch.clockToOutput.max + characterRom + shifter.setUp;
  return [...paths, { path: "character ROM", margin: cell - reading - 3 * wire }];

  /** From the clock of a phase to LOAD# at the shift registers, without the wires that all have. */
  function loadDelay(): number {
    const { quickStrobe, loadDriver } = times;
    if (needsLoadDrivers(family, plan.bitsPerDot, phase)) {
      return quickStrobe.clockToOutput.max + wire + loadDriver.propagation.max;
    }
    const isShared = family === "fast" && plan.bitsPerDot === 4;
    return strobe.clockToOutput.max + (isShared ? FOUR_LOADS_NS : 0);
  }
}

/** What four shift registers add to the delay of the fast strobe that loads them, in nanoseconds, by proofs. */
const FOUR_LOADS_NS = 9;

/** What a load of the clock of a phase beyond the 50 pF of a sheet adds to the delay of what makes it, in nanoseconds, by proofs. */
const CLOCK_LOAD_NS = 4;

/** What each enable beyond the first adds to the delay of the ring's flip-flop that it hangs on, in nanoseconds, by proofs. */
const ENABLE_LOAD_NS = 3.4;

/** By how much a high or low time of the clock of a phase may be shorter than that of what it is made of. */
function clockBlur(
  { divider, clockGate }: LogicProfile["times"],
  wire: number,
  family: LogicProfile["family"],
  isDivided: boolean,
): number {
  // The can itself is the clock of a phase of quick logic.
  if (!isDivided && family === "fast") return 0;
  const { min, max } = isDivided ? divider.clockToOutput : clockGate.propagation;
  return max - min + wire + CLOCK_LOAD_NS;
}

/** W65C02S at 5 V, data sheet of 8 October 2018, table 6-3: from the rise of PHI2 to written data, tMDS. */
const PROCESSOR_DATA_NS = 25;

/** Estimated margins of the memory's slots: what `PATH_FORMULAS` says. */
export function memoryPaths(
  { phase, isText }: PlanTimes,
  { family, times, wire, readPhases, writePhases }: LogicProfile,
  memory: MemoryChoice,
  sharing: Sharing["kind"],
): readonly PathMargin[] {
  const { ring, decoder, writeStrobe, shifter, displayAddress, readRegister, processorBuffer } = times;
  const isTwoPhase = sharing === "alternate slots";
  const processorAddress = isTwoPhase ? displayAddress : times.processorAddress;
  const processorData = isTwoPhase ? processorBuffer : times.processorData;
  const { min: ringMin, max: ringMax } = ring.clockToOutput;
  const reading = ringMax + displayAddress.enable.max + memory.access + shifter.setUp;
  const selecting = sharing === "two banks" ? times.selector.propagation.max + wire : 0;
  const read: PathMargin = { path: "display read", margin: readPhases * phase - reading - selecting - 4 * wire };
  const nextAddress = ringMin + Math.min(displayAddress.enable.min, processorAddress.enable.min);
  const outputs = isTwoPhase ? 0 : sharing === "two banks" ? 2 : 1;
  const latches = Math.ceil(Math.log2(memory.bytes) / 8);
  const enables = latches + outputs;
  const enableLoad = family === "HC" ? ENABLE_LOAD_NS * (enables - 1) : 0;
  const lastAddress = ringMax + enableLoad + Math.max(displayAddress.disable.max, processorAddress.disable.max);
  const nextData = ringMin + processorData.enable.min;
  const lastData = ringMax + Math.max(memory.release, processorData.disable.max);
  // Quick write strobes are inverted behind their flip-flop, whose edges come by delays of their own.
  const inverter = family === "fast" ? decoder.propagation : { min: 0, max: 0 };
  const inverting = inverter.max - inverter.min;
  const spread = writeStrobe.clockToOutput.max - writeStrobe.clockToOutput.min + inverting;
  const beginLoad =
    family === "HC" ? 0 : (isText ? 0.9 : 0.5) + 0.5 + 1.1 * (latches - 2) + (sharing === "two banks" ? 1.9 : 0.7);
  const writeBegins = (writePhases - 1) * phase + writeStrobe.clockToOutput.min + inverter.min - ringMax - 4 * wire;
  const writeEnds = writePhases * phase + writeStrobe.clockToOutput.min - ringMax - 3 * wire;
  return [
    read,
    { path: "hand-over of the address", margin: phase + nextAddress - lastAddress - 2 * wire },
    { path: "hand-over of the data", margin: phase + nextData - lastData - 2 * wire },
    { path: "write pulse", margin: phase - spread - wire - memory.writePulse },
    {
      path: "address before the write begins",
      margin: writeBegins - inverter.max - processorAddress.enable.max - beginLoad,
    },
    {
      path: "address before the write ends",
      margin: writeEnds - processorAddress.enable.max - memory.addressToWriteEnd,
    },
    {
      path: "data before the write ends",
      margin: writeEnds - processorData.enable.max - memory.dataToWriteEnd,
    },
    ...(isTwoPhase ? twoPhasePaths() : []),
  ];

  function twoPhasePaths(): readonly PathMargin[] {
    const byAddress = writePhases * phase - inverter.max - displayAddress.enable.max - memory.access;
    const byOutput = (writePhases - 1) * phase - memory.output;
    const written = writeEnds - PROCESSOR_DATA_NS - processorBuffer.propagation.max - wire;
    return [
      {
        path: "processor's read",
        margin: Math.min(byAddress, byOutput) - ringMax - readRegister.setUp - 4 * wire,
      },
      { path: "processor's data before the write ends", margin: written - memory.dataToWriteEnd },
    ];
  }
}

/** The path with the least margin. */
export function tightestPath(paths: readonly PathMargin[]): PathMargin {
  const [first, ...rest] = paths;
  if (!first) throw new RangeError("an estimate has no paths");
  return rest.reduce((worst, path) => (path.margin < worst.margin ? path : worst), first);
}
