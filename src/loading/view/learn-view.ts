import type { NetId } from "../../circuit/index.js";
import { randomStream } from "../../simulation/index.js";
import { memoriesOf, numberBits, randomContents } from "../mapping/bit-numbers.js";
import { type Levels, PatternFrames, differs } from "../mapping/frames.js";
import type { RunningScreen } from "../mapping/screen.js";
import { type Level, type ProcessorPins, processorPins } from "../transfer/pins.js";
import { type ProbePulse, drivePulses } from "../transfer/prober.js";
import type { BitSource, Stage, WritePath } from "../transfer/write-path.js";

/**
 * A register that says which part of the memory is shown: with which row the picture begins, or which page it is. The way on
 * which it is set has the register's number in the place of an address, and no data.
 */
export type ViewWay = WritePath;

/** Levels of the lines at each pulse of each stage. */
type LevelOf = (stage: number, pulse: number, net: NetId) => Level;

/** Lines that choose what a strobe does; more combinations of them are not tried. */
const MOST_SELECTS = 4;
/** Numbers at random that must all be shown the same however the register is set to them. */
const TRIALS = 4;
/** Oscillator periods in which whatever a strobe brings about is sure to be over. */
const SETTLE_PERIODS = 64;

/**
 * Finds how a register is set that says what is shown, by trying what changes a picture of random dots and no byte of the
 * memory: each strobe, with each choice of the lines that choose what it does, and, where bytes are latched on their way, behind
 * those latches. The machine is left as it was. Undefined where there is none.
 */
export function learnView(screen: RunningScreen, path: WritePath): ViewWay | undefined {
  const { circuit, machine, raster } = screen;
  const pins = processorPins(circuit);
  const candidates = candidatesOf(pins, path);
  if (candidates.length === 0) return undefined;
  const { rams, roms } = memoriesOf(circuit);
  const contents = randomContents([...numberBits(rams), ...numberBits(roms)], randomStream("contents to look at", 1));
  if (!circuit.picture) return undefined;
  const frames = PatternFrames.begin(machine, circuit.picture, raster, [contents]);
  if ("problem" in frames) return undefined;
  const show = (pulses: readonly ProbePulse[]) =>
    frames.show(contents, () => void drivePulses(machine, pins.rest, strobesIn(pins), pulses));
  const disturbs = (pulses: readonly ProbePulse[]) => {
    const start = machine.save();
    for (const [chip, bytes] of contents) machine.load(chip, bytes);
    const end = drivePulses(machine, pins.rest, strobesIn(pins), pulses);
    machine.run(end + SETTLE_PERIODS * machine.period);
    const isChanged = rams.some((ram) =>
      machine.contentsOf(ram).some((byte, address) => byte !== contents.get(ram)?.[address]),
    );
    machine.restore(start);
    return isChanged;
  };
  return new ViewLearner(pins, path, show, disturbs).find(candidates);
}

class ViewLearner {
  readonly #pins: ProcessorPins;
  readonly #path: WritePath;
  readonly #show: (pulses: readonly ProbePulse[]) => Levels;
  readonly #disturbs: (pulses: readonly ProbePulse[]) => boolean;

  constructor(
    pins: ProcessorPins,
    path: WritePath,
    show: (pulses: readonly ProbePulse[]) => Levels,
    disturbs: (pulses: readonly ProbePulse[]) => boolean,
  ) {
    this.#pins = pins;
    this.#path = path;
    this.#show = show;
    this.#disturbs = disturbs;
  }

  find(candidates: readonly (readonly Stage[])[]): ViewWay | undefined {
    const idle = this.#show([]);
    for (const stages of candidates) {
      const tries = [allOf(0), allOf(1), ...[1, 2].map(randomLevels)].map((levelOf) => this.#pulses(stages, levelOf));
      const isSeen = tries.some((pulses) => differs(idle, this.#show(pulses)));
      if (!isSeen || tries.some((pulses) => this.#disturbs(pulses))) continue;
      const way = this.#wayOver(stages);
      if (way) return way;
    }
    return undefined;
  }

  /** Which lines the register takes, each turned over by itself; nothing where it does not hold them alone. */
  #wayOver(stages: readonly Stage[]): ViewWay | undefined {
    const low = this.#show(this.#pulses(stages, allOf(0)));
    const sources: BitSource[] = [];
    stages.forEach(({ pulses }, stage) => {
      for (let pulse = 0; pulse < pulses; pulse++) {
        for (const net of this.#linesOf(stages, stage)) {
          const turned = this.#pulses(stages, (...at) => (at.join() === [stage, pulse, net].join() ? 1 : 0));
          if (differs(low, this.#show(turned))) sources.push({ kind: "line", stage, pulse, net, inverted: false });
        }
      }
    });
    if (sources.length === 0) return undefined;
    for (let trial = 1; trial <= TRIALS; trial++) {
      const [number, other] = [randomLevels(trial), randomLevels(-trial)];
      const isBit: LevelOf = (...at) => (sources.some((one) => isAt(one, at)) ? 1 : 0);
      const alone = this.#pulses(stages, (...at) => (isBit(...at) === 1 ? number(...at) : 0));
      const among = this.#pulses(stages, (...at) => (isBit(...at) === 1 ? number(...at) : other(...at)));
      const after = [...this.#pulses(stages, other), ...among];
      if (differs(this.#show(alone), this.#show(after))) return undefined;
    }
    return { ram: this.#path.ram, stages, address: sources, data: [], rest: this.#path.rest, isFree: false };
  }

  #pulses(stages: readonly Stage[], levelOf: LevelOf): readonly ProbePulse[] {
    return stages.flatMap((stage, index) =>
      Array.from({ length: stage.pulses }, (_, pulse) => ({
        stage,
        levels: new Map(this.#linesOf(stages, index).map((net) => [net, levelOf(index, pulse, net)])),
      })),
    );
  }

  #linesOf(stages: readonly Stage[], index: number): readonly NetId[] {
    const stage = stages[index];
    return stage ? (this.#pins.linesOf.get(stage.strobe.net) ?? []).filter((net) => !stage.held.has(net)) : [];
  }
}

/** Each strobe with each choice of what is held for the memory to be written; then the same behind its latches. */
function candidatesOf(pins: ProcessorPins, { stages, isFree }: WritePath): readonly (readonly Stage[])[] {
  const selects = [...new Set(stages.flatMap(({ held }) => [...held.keys()]))].slice(0, MOST_SELECTS);
  const single = pins.strobes.flatMap((strobe) =>
    Array.from({ length: 2 ** selects.length }, (_, choice): Stage => {
      const held = selects
        .filter((net) => net !== strobe.net)
        .map((net, bit) => [net, ((choice >> bit) & 1) as Level] as const);
      return { strobe, held: new Map(held), pulses: 1 };
    }),
  );
  const writer = isFree ? undefined : stages.at(-1);
  const latches = writer ? stages.slice(0, -1) : stages;
  // What writes the memory sets no register.
  const others = single.filter((one) => !writer || !isSame(one, writer));
  return [...others.map((stage) => [stage]), ...(latches.length > 0 ? others.map((one) => [...latches, one]) : [])];
}

function isSame(one: Stage, other: Stage): boolean {
  const held = [...one.held];
  return one.strobe.net === other.strobe.net && held.every(([net, level]) => (other.held.get(net) ?? level) === level);
}

function isAt(source: BitSource, [stage, pulse, net]: Parameters<LevelOf>): boolean {
  return source.kind === "line" && source.stage === stage && source.pulse === pulse && source.net === net;
}

function allOf(level: Level): LevelOf {
  return () => level;
}

function randomLevels(number: number): LevelOf {
  return (stage, pulse, net) => (randomStream(`level of ${net} at ${stage} ${pulse}`, number)() < 0.5 ? 0 : 1);
}

function strobesIn({ strobes }: ProcessorPins): readonly NetId[] {
  return strobes.map(({ net }) => net);
}
