import { type Fs, type Hertz, type Range, inNs, ns, printHertz, printTime, range } from "../quantity/index.js";
import {
  type BusLine,
  type Processor,
  type ProcessorGrade,
  processorNamed,
  processorsLike,
  processors,
} from "./processors.js";
import { expandRange } from "./behaviours/define.js";
import type { Edge } from "./figures.js";
import { sumOf, writtenOut } from "./sum-of-times.js";

/** How a board uses a processor. */
export interface ProcessorUse {
  /** Cycles of the bus clock a second: PHI2, E, CLK. */
  readonly clock: Hertz;
  /** High time over period of the clock that is fed in; that of an oscillator can, 0.4 to 0.6, when absent. */
  readonly duty?: Range;
  /**
   * `pins`: the processor's own pins, for a board that has the gates of the strobe among its chips. `strobe`: a write strobe
   * WR# behind one gate of the given delay, for a board that begins at WR#; without a gate, WR# of the processor itself.
   */
  readonly at: "pins" | { readonly gate?: Range<Fs> };
  /** Least bus cycles from one write to the board to the next, as the program has it; the processor's least when absent. */
  readonly cyclesBetweenWrites?: number;
  /** Nominal supply; 5 V when absent. */
  readonly supplyVolts?: number;
  /** Name of the grade; the slowest of that supply that the clock allows when absent. */
  readonly grade?: string;
}

/** One time of an input with the arithmetic that gave it. */
export interface DerivedTime {
  readonly time: Fs;
  /** `H - tMDS = 200 - 25`. */
  readonly arithmetic: string;
}

/** One line of a circuit file's `inputs`; `pins` are those of the processor that drive its nets, none for a made strobe. */
export type ProcessorInput = { readonly nets: string; readonly pins: readonly string[] } & (
  | { readonly timing: "any time"; readonly high: DerivedTime; readonly low: DerivedTime; readonly repeat: DerivedTime }
  | {
      readonly timing: "steady around";
      readonly reference: string;
      readonly before: DerivedTime;
      readonly after: DerivedTime;
    }
  | { readonly timing: "after"; readonly reference: string; readonly from: DerivedTime; readonly to: DerivedTime }
);

export interface ProcessorBus {
  readonly processor: Processor;
  readonly grade: ProcessorGrade;
  readonly inputs: readonly ProcessorInput[];
  /** What reading asks of the board. */
  readonly reading: {
    /** How soon after its pins it wants data, and how long the pins stay once it has them. */
    readonly from: readonly { readonly pins: readonly string[]; readonly within: Fs; readonly kept: Fs }[];
    /** How long it wants the data to stay. */
    readonly hold: Fs;
    /** How soon after such a level of a pin it may drive data itself. */
    readonly letGo: readonly { readonly pin: string; readonly level: "low" | "high"; readonly within: Fs }[];
  };
  /** The pin whose pulse makes a write strobe, and the pins that choose whether it does. */
  readonly gating: {
    readonly pin: string;
    readonly active: "low" | "high";
    readonly selects: readonly SelectTimes[];
  };
  /** The clock as it is fed in: least times of the pin `clock.fedAt`. */
  readonly fed: ClockTimes;
  /** What the sheet asks of that clock where times count from it; absent where the processor makes its own of it. */
  readonly asked?: ClockTimes;
  /** How long the pin that makes it wait must stand around an edge of the clock, where a late change does harm. */
  readonly waits?: { readonly pin: string; readonly edge: Edge; readonly setUp: Fs; readonly hold: Fs };
}

export interface ClockTimes {
  readonly high: Fs;
  readonly low: Fs;
  readonly period: Fs;
}

/** How long pins stand before the pulse of a write begins and after it ends, at least. */
export interface SelectTimes {
  readonly pins: readonly string[];
  readonly before: Fs;
  readonly after: Fs;
  /** They go back by themselves as the pulse ends, so that they may end the strobe but begin no other. */
  readonly ends: boolean;
}

/** Why a processor cannot be used so, in a sentence. */
export interface ProcessorProblem {
  readonly problem: string;
  readonly suggestions: readonly string[];
}

export function isProcessorProblem(answer: ProcessorBus | ProcessorProblem): answer is ProcessorProblem {
  return "problem" in answer;
}

const CAN_DUTY = range(0.4, 0.6);
const NOMINAL_VOLTS = 5;
/** In ns. Fractions such as 0.4 and 1000 / 14 are not exact in binary; a difference below this is none. */
const SLIVER = 1e-6;

/**
 * What comes from a processor at a clock rate, as external inputs of a circuit file: the sheet's times, put together by the
 * formulas on record. Least times are rounded down and greatest ones up, to a tenth of a nanosecond.
 */
export function processorBus(name: string, use: ProcessorUse): ProcessorBus | ProcessorProblem {
  const processor = processorNamed(name);
  if (!processor) {
    const near = processorsLike(name);
    return {
      problem: `no processor ${name} on record`,
      suggestions: near.length > 0 ? near : processors.map((one) => one.name),
    };
  }
  if (use.at !== "pins" && !use.at.gate && processor.needsGate) {
    return refuse(`a ${processor.name} has no write strobe of its own (${processor.strobeIs}): say the gate's delay`);
  }
  const period = (1e9 * Number(use.clock.denominator)) / Number(use.clock.numerator);
  const { cycle } = processor.clock;
  const volts = use.supplyVolts ?? NOMINAL_VOLTS;
  const grades = processor.grades
    .filter(({ name: own }) => use.grade === undefined || own === use.grade)
    .filter(({ supply: [from, to] }) => use.grade !== undefined || (from <= volts && volts <= to))
    // A sheet prints 667 ns for 1.5 MHz: the rate that it names counts as well as the cycle.
    .filter(({ times, megahertz }) => Math.min(times[cycle] ?? Infinity, 1000 / megahertz) <= period + SLIVER)
    .sort((a, b) => a.megahertz - b.megahertz);
  const answers = grades.map((grade) => busOf(processor, grade, period, use));
  const known = processor.grades.map((one) => `${one.name} (${one.megahertz} MHz, ${one.supply.join(" to ")} V)`);
  const wanted = use.grade === undefined ? `no grade for ${volts} V` : `no grade '${use.grade}'`;
  const slow = `${wanted} of the ${processor.name} runs at ${printHertz(use.clock)}; on record: ${known.join(", ")}`;
  return answers.find((answer) => !isProcessorProblem(answer)) ?? answers.at(-1) ?? refuse(slow);
}

function busOf(
  processor: Processor,
  grade: ProcessorGrade,
  period: number,
  use: ProcessorUse,
): ProcessorBus | ProcessorProblem {
  const times = symbols(processor, grade, period, use);
  const short = tooShort(processor, times, use.duty ?? CAN_DUTY) ?? broken(processor, times);
  const at = `${processor.name} (${grade.name}) at ${printHertz(use.clock)}`;
  if (short !== undefined) return refuse(`${at}: ${short}`);
  const inputs = (use.at === "pins" ? processor.lines : processor.strobe).map((line) => derive(line, times));
  const empty = inputs.flatMap((input) => emptiness(input) ?? []);
  if (empty.length > 0) return refuse(`${at}: ${empty.join("; ")}`);
  const { gating } = processor;
  const selects = gating.selects.map(({ pins, before, after, ends = false }): SelectTimes => ({
    pins: pinsIn(pins),
    before: least(before, times).time,
    after: least(after, times).time,
    ends,
  }));
  return {
    processor,
    grade,
    inputs,
    reading: readingOf(processor, times),
    gating: { ...gating, selects },
    ...clockAndWait(processor, times),
  };
}

function readingOf({ reads }: Processor, times: ReadonlyMap<string, number>): ProcessorBus["reading"] {
  const time = (formula: string) => least(formula, times).time;
  return {
    from: reads.from.map(({ pins, within, kept }) => ({ pins: pinsIn(pins), within: time(within), kept: time(kept) })),
    hold: most(reads.hold, times).time,
    letGo: reads.letGo.map(({ pins, level, within }) => ({ pin: pins, level, within: time(within) })),
  };
}

function clockAndWait(
  { clock, wait }: Processor,
  times: ReadonlyMap<string, number>,
): Pick<ProcessorBus, "fed" | "asked" | "waits"> {
  const time = (formula: string) => most(formula, times).time;
  const { divide } = clock;
  const [high, low, period] = ["Hin", "Lin", "T"].map((symbol) => ns((times.get(symbol) ?? 0) / divide));
  const fed = { high: high ?? ns(0), low: low ?? ns(0), period: period ?? ns(0) };
  const { pin, edge, setUp, hold } = wait;
  const isJudged = edge !== undefined && setUp !== undefined && hold !== undefined;
  return {
    fed,
    ...(clock.from === "outside" && {
      asked: { high: time(clock.high), low: time(clock.low), period: time(clock.cycle) },
    }),
    ...(isJudged && { waits: { pin, edge, setUp: time(setUp), hold: time(hold) } }),
  };
}

function pinsIn(words: string | undefined): readonly string[] {
  return words === undefined ? [] : words.split(" ").flatMap(expandRange);
}

/** The lines as a circuit file has them, each after a comment with its arithmetic in ns. */
export function inputsText({ inputs }: ProcessorBus): string {
  return [
    "inputs:",
    ...inputs.flatMap((input) => [`  # ${comment(input)}`, `  ${input.nets}: ${entry(input)}`]),
    "",
  ].join("\n");
}

function symbols(
  { clock, leastCyclesBetweenWrites }: Processor,
  grade: ProcessorGrade,
  period: number,
  use: ProcessorUse,
): ReadonlyMap<string, number> {
  const gate = use.at === "pins" ? undefined : use.at.gate;
  const duty = use.duty ?? CAN_DUTY;
  const times = new Map(Object.entries(grade.times));
  times.set("T", period).set("W", period * (use.cyclesBetweenWrites ?? leastCyclesBetweenWrites));
  times.set("Hin", duty.min * period).set("Lin", (1 - duty.max) * period);
  times.set("gate", inNs(gate?.max ?? ns(0))).set("gate_min", inNs(gate?.min ?? ns(0)));
  const isGiven = clock.from === "outside";
  return times.set("H", sumOf(isGiven ? "Hin" : clock.high, times)).set("L", sumOf(isGiven ? "Lin" : clock.low, times));
}

function tooShort({ clock }: Processor, times: ReadonlyMap<string, number>, duty: Range): string | undefined {
  if (clock.from === "processor") return undefined;
  for (const [level, symbol, asked] of [
    ["high", "H", clock.high],
    ["low", "L", clock.low],
  ] as const) {
    const [given, least] = [sumOf(symbol, times), sumOf(asked, times)];
    if (given >= least - SLIVER) continue;
    const share = `${printShare(duty.min)} to ${printShare(duty.max)} %`;
    return `${clock.pin} is ${level} for ${tidy(given)} ns at least with a duty of ${share}; the sheet asks ${tidy(least)} ns`;
  }
  return undefined;
}

function broken({ conditions }: Processor, times: ReadonlyMap<string, number>): string | undefined {
  const failed = conditions.find(({ formula }) => sumOf(formula, times) < 0);
  return failed && `${writtenOut(failed.formula, times)} ns is less than nothing: ${failed.because}`;
}

function derive(line: BusLine, times: ReadonlyMap<string, number>): ProcessorInput {
  const about = { nets: line.nets, pins: pinsIn(line.pins) };
  switch (line.timing) {
    case "any time":
      return {
        ...about,
        timing: line.timing,
        high: least(line.high, times),
        low: least(line.low, times),
        repeat: least(line.repeat, times),
      };
    case "steady around":
      return {
        ...about,
        timing: line.timing,
        reference: line.reference,
        before: least(line.before, times),
        after: least(line.after, times),
      };
    case "after":
      return {
        ...about,
        timing: line.timing,
        reference: line.reference,
        from: least(line.from, times),
        to: most(line.to, times),
      };
  }
}

/** Says of a strobe or a window that nothing is left of it. */
function emptiness(input: ProcessorInput): string | undefined {
  if (input.timing === "any time") {
    const gone = [input.high, input.low].find(({ time }) => time <= 0);
    return gone && `nothing is left of ${input.nets} (${gone.arithmetic} ns)`;
  }
  if (input.timing === "steady around" && input.before.time + input.after.time < 0) {
    return `${input.nets} never stand still (${input.before.arithmetic} ns before, ${input.after.arithmetic} ns after)`;
  }
  return undefined;
}

/** Times are rounded to tenths of a nanosecond. */
const STEPS = 10;

function least(formula: string, times: ReadonlyMap<string, number>): DerivedTime {
  const time = ns(Math.floor(sumOf(formula, times) * STEPS + SLIVER) / STEPS);
  return { time, arithmetic: writtenOut(formula, times) };
}

function most(formula: string, times: ReadonlyMap<string, number>): DerivedTime {
  const time = ns(Math.ceil(sumOf(formula, times) * STEPS - SLIVER) / STEPS);
  return { time, arithmetic: writtenOut(formula, times) };
}

function entry(input: ProcessorInput): string {
  const time = ({ time: value }: DerivedTime) => printTime(value);
  switch (input.timing) {
    case "any time":
      return `{ any time: { high: ${time(input.high)}, low: ${time(input.low)}, repeat: ${time(input.repeat)} } }`;
    case "steady around":
      return `{ steady around: ${input.reference}, before: ${time(input.before)}, after: ${time(input.after)} }`;
    case "after":
      return `{ after: ${input.reference}, from: ${time(input.from)}, to: ${time(input.to)} }`;
  }
}

function comment(input: ProcessorInput): string {
  const words = Object.entries(input).flatMap(([key, value]) =>
    typeof value === "object" && "arithmetic" in value ? [`${key} ${value.arithmetic}`] : [],
  );
  return words.join("; ");
}

function refuse(problem: string): ProcessorProblem {
  return { problem, suggestions: [] };
}

function printShare(share: number): string {
  return String(tidy(share * 100));
}

function tidy(value: number): number {
  return Math.round(value * 1000) / 1000;
}
