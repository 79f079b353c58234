import type { Chip, NetId } from "../../circuit/index.js";
import { type Raster, fieldRate, inHertz } from "../../raster/index.js";
import { type Machine, randomStream } from "../../simulation/index.js";
import { memoriesOf, wordsOf } from "../mapping/bit-numbers.js";
import { findBeat } from "./beat.js";
import { type ProcessorPins, type Level, type Strobe, busPins, processorPins, withStrobe } from "./pins.js";
import { type Landed, type ProbePulse, Prober } from "./prober.js";
import { type BitSource, type Stage, type WritePath, levelsFor } from "./write-path.js";

/** Why nothing outside can write the memory, in a sentence. */
export interface NoPath {
  readonly problem: string;
}

/** Pulses that are tried of a strobe with few lines: the longest chain of shift registers that is followed. */
const LONGEST_CHAIN = 96;
/** A chain may have outputs that go nowhere; behind so many of them in a row it is taken to end. */
const GAP = 16;
/** A strobe with more lines than these is taken for one that latches them all at once. */
const LINES_OF_A_CHAIN = 4;
/** Lines that choose what a strobe does; more combinations of them are not tried. */
const MOST_SELECTS = 4;
/** Where there are more lines none of them is tried as a strobe. */
const MOST_LINES_AS_STROBES = 8;
/** Moments of a frame at which a way is looked for: blanking is at least a sixteenth of it in every raster of tubes. */
const PHASES = 16;
const NO_WRITER = "No pulse at its inputs was found that writes the memory.";
/** Writes at random that must all land where the path says. */
const TRIALS = 24;
/** Oscillator periods in which a write is sure to be over. */
const SETTLE_PERIODS = 64;

/**
 * Finds how a byte gets from the inputs into a RAM, by trying: which strobe writes, which lines are an address or data bit of
 * that write, and which bits were latched or shifted in by other strobes before. Nothing but the times promised of the inputs is
 * taken from the circuit file. What was found is held against random writes.
 */
export function learnWritePath(machine: Machine, raster: Raster | undefined, ram?: Chip): WritePath | NoPath {
  const { circuit } = machine;
  const memory = ram ?? memoriesOf(circuit).rams[0];
  if (!memory) return { problem: "The circuit has no memory that can be written." };
  const pins = processorPins(circuit);
  if (pins.inStep.size > 0) {
    const onBus = learnBusPath(machine, memory, pins);
    if (!("problem" in onBus) || pins.strobes.length === 0) return onBus;
  }
  if (pins.strobes.length === 0) {
    return { problem: "The circuit has no input that could write: none comes at any time." };
  }
  const repeats = circuit.inputs.flatMap(({ timing }) => (timing.kind === "any time" ? [timing.leastRepeat] : []));
  // A strobe of a switch or a sensor, slower than a frame, writes nothing.
  const frameFs = raster ? 1e15 / inHertz(fieldRate(raster)) : 2e13;
  const settle = Math.max(SETTLE_PERIODS * machine.period, ...repeats.filter((repeat) => repeat < frameFs));
  // A board may be written in blanking only: it is tried at moments that lie closer together than a blanking is long.
  const start = machine.save();
  let first: WritePath | NoPath | undefined;
  for (const isPatient of [false, true]) {
    for (let phase = 0; phase < (isPatient ? 1 : PHASES); phase++) {
      machine.restore(start);
      machine.run(Math.round(start.now + (phase / PHASES) * frameFs));
      const prober = new Prober(machine, memory, pins.rest, settle, 1.1 * frameFs);
      const path = learnAt(prober, pins, isPatient);
      prober.leave();
      first ??= path;
      if ("problem" in path && path.problem === NO_WRITER) continue;
      machine.restore(start);
      return path;
    }
  }
  machine.restore(start);
  return first ?? { problem: NO_WRITER };
}

/** Of a processor that the board clocks: a byte goes with one cycle of its bus. */
function learnBusPath(machine: Machine, memory: Chip, pins: ProcessorPins): WritePath | NoPath {
  for (const clock of pins.inStep.keys()) {
    const beat = findBeat(machine, clock);
    if (!beat) continue;
    const settle = SETTLE_PERIODS * machine.period + 2 * beat.period;
    const prober = new Prober(machine, memory, pins.rest, settle, settle);
    const path = new Learner(prober, busPins(pins, clock, beat), false).learn();
    prober.leave();
    if (!("problem" in path)) return path;
  }
  return {
    problem: "Its inputs follow nets inside the circuit, and no cycle of these was found that writes the memory.",
  };
}

/** At one moment; a patient learner waits for a write up to a frame. */
function learnAt(prober: Prober, pins: ProcessorPins, isPatient: boolean): WritePath | NoPath {
  const path = new Learner(prober, pins, isPatient).learn();
  if (!("problem" in path)) return path;
  const lines = [...new Set([...pins.linesOf.values()].flat())];
  if (lines.length > MOST_LINES_AS_STROBES) return path;
  for (const net of lines) {
    const other = new Learner(prober, withStrobe(pins, net), isPatient).learn();
    if (!("problem" in other)) return other;
  }
  return path;
}

class Learner {
  readonly #prober: Prober;
  readonly #pins: ProcessorPins;
  /** Words that are written though nothing happens: where the memory is written all the time. */
  #idle: readonly Landed[] = [];

  constructor(prober: Prober, pins: ProcessorPins, isPatient: boolean) {
    this.#prober = prober;
    this.#pins = pins;
    prober.isPatient = isPatient;
    prober.strobes = pins.strobes.map(({ net }) => net);
  }

  learn(): WritePath | NoPath {
    this.#idle = this.#prober.writesOf([]);
    const isFree = this.#idle.length > 0;
    const writer = isFree ? undefined : this.#findWriter();
    if (!isFree && !writer) return { problem: NO_WRITER };
    const others = this.#othersBefore(writer);
    const candidates = writer ? [...others, writer] : others;
    const found = this.#sources(candidates, isFree);
    if ("problem" in found) return found;
    return this.#check(this.#trimmed(found, candidates, writer !== undefined));
  }

  /** A strobe of which one pulse writes, with the levels of other inputs that it needs for that: at rest if that will do. */
  #findWriter(): Stage | undefined {
    for (const isAtRest of [true, false]) {
      for (const strobe of this.#byLines()) {
        const lines = this.#linesBeside(strobe);
        const vectors = isAtRest ? [this.#restOf(lines)] : this.#otherLevels(lines);
        // A bus's clock goes on whatever the lines do.
        const writes = vectors.find(
          (levels) => this.#writes(strobe, levels) && (strobe.beat || !this.#writes(undefined, levels)),
        );
        if (!writes) continue;
        const held = lines.filter((net) => !this.#writes(strobe, new Map([...writes, [net, flip(writes.get(net))]])));
        return { strobe, held: new Map(held.map((net) => [net, writes.get(net) ?? 0])), pulses: 1 };
      }
    }
    return undefined;
  }

  #restOf(lines: readonly NetId[]): ReadonlyMap<NetId, Level> {
    return new Map(lines.map((net) => [net, this.#pins.rest.get(net) ?? 0]));
  }

  /** All low, all high, and each line turned over by itself. */
  #otherLevels(lines: readonly NetId[]): readonly ReadonlyMap<NetId, Level>[] {
    const all = (level: Level) => new Map(lines.map((net) => [net, level]));
    const rest = this.#restOf(lines);
    return [all(0), all(1), ...lines.map((net) => new Map([...rest, [net, flip(rest.get(net))] as const]))];
  }

  /** Whether a pulse writes one byte with these levels; without a strobe whether the levels alone do. */
  #writes(strobe: Strobe | undefined, levels: ReadonlyMap<NetId, Level>): boolean {
    const stage = strobe && { strobe, held: new Map<NetId, Level>(), pulses: 1 };
    return this.#prober.writesOf([{ stage, levels }]).length === 1;
  }

  /** Stages that may come before the one that writes: shifting and latching, each strobe and each choice of its selects. */
  #othersBefore(writer: Stage | undefined): readonly Stage[] {
    const stages: Stage[] = [];
    for (const strobe of this.#byLines()) {
      const isWriter = strobe.net === writer?.strobe.net;
      const selects = [...(writer?.held.keys() ?? [])].slice(0, MOST_SELECTS);
      for (let choice = 0; choice < 2 ** selects.length; choice++) {
        const held = new Map(selects.map((net, bit) => [net, ((choice >> bit) & 1) as Level]));
        const isTheWrite = isWriter && selects.every((net) => held.get(net) === writer?.held.get(net));
        if (isTheWrite) continue;
        const lines = this.#linesOf(strobe);
        const pulses = lines.length > 0 && lines.length <= LINES_OF_A_CHAIN ? LONGEST_CHAIN : 1;
        stages.push({ strobe, held, pulses });
        // A strobe with lines of its own is no latch of what others shifted: once, whatever the selects, is enough for it.
        if (!isWriter && lines.every((net) => !selects.includes(net)) && selects.length > 0) break;
      }
    }
    // What shifts and latches lines comes before what takes them over.
    return stages.sort((one, other) => this.#linesOf(other.strobe).length - this.#linesOf(one.strobe).length);
  }

  /** For each address and data bit, where it comes from: by turning over one line at one pulse after the other. */
  #sources(stages: readonly Stage[], isFree: boolean): Found | NoPath {
    const ram = this.#prober.ram;
    const addressBits = Math.log2(wordsOf(ram));
    const dataBits = ram.part.behaviour.memory?.data.length ?? 8;
    const base = this.#land(stages, undefined);
    if (!base) return { problem: "What its inputs write goes to several words at once." };
    const sources: (BitSource | undefined)[] = Array.from({ length: addressBits + dataBits });
    const bits = (landed: Landed) => [...bitsOf(landed.address, addressBits), ...bitsOf(landed.byte, dataBits)];
    const first = bits(base);
    for (const [stage, { strobe, held, pulses }] of stages.entries()) {
      let missed = 0;
      for (let pulse = pulses - 1; pulse >= 0 && missed <= GAP; pulse--) {
        let acts = false;
        for (const net of this.#linesOf(strobe)) {
          if (held.has(net)) continue;
          const landed = this.#land(stages, { stage, pulse, net });
          if (!landed) {
            return { problem: `${this.#name(net)} decides whether a byte is written; that is not followed.` };
          }
          const turned = bits(landed).flatMap((bit, index) => (bit === first[index] ? [] : [index]));
          for (const index of turned) {
            acts = true;
            // A bit that a later pulse decides as well is that one's: stages come in the order in which they act.
            const level = (this.#pins.rest.get(net) ?? 0) ^ (first[index] ?? 0);
            sources[index] = { kind: "line", stage, pulse, net, inverted: level === 1 };
          }
        }
        missed = acts ? 0 : missed + 1;
      }
    }
    const fixed = (index: number): BitSource =>
      sources[index] ?? { kind: "fixed", level: (first[index] ?? 0) as Level };
    return {
      address: Array.from({ length: addressBits }, (_, bit) => fixed(bit)),
      data: Array.from({ length: dataBits }, (_, bit) => fixed(addressBits + bit)),
      isFree,
    };
  }

  /** What lands when every line rests but one at one pulse. */
  #land(
    stages: readonly Stage[],
    turned: { stage: number; pulse: number; net: NetId } | undefined,
  ): Landed | undefined {
    const pulses = stages.flatMap((stage, index) =>
      Array.from({ length: stage.pulses }, (_, pulse): ProbePulse => {
        const levels = new Map(this.#linesOf(stage.strobe).map((net) => [net, this.#pins.rest.get(net) ?? 0]));
        if (turned?.stage === index && turned.pulse === pulse) levels.set(turned.net, flip(levels.get(turned.net)));
        for (const net of stage.held.keys()) levels.delete(net);
        return { stage, levels };
      }),
    );
    return this.#last(this.#prober.writesOf(pulses));
  }

  /** Where the memory is written all the time, the word that is written idly has been so before the new one. */
  #last(landed: readonly Landed[]): Landed | undefined {
    const fresh = landed.filter(({ address }) => this.#idle.every((word) => word.address !== address));
    const [only, another] = fresh.length === 0 ? landed : fresh;
    return another ? undefined : only;
  }

  /** Stages without those that decide nothing, and no more pulses than are needed. */
  #trimmed({ address, data, isFree }: Found, candidates: readonly Stage[], hasWriter: boolean): WritePath {
    const sources = [...address, ...data];
    const used = candidates.map((_, stage) =>
      sources.flatMap((one) => (one.kind === "line" && one.stage === stage ? [one.pulse] : [])),
    );
    const isNeeded = candidates.map((stage, index) => {
      if (hasWriter && index === candidates.length - 1) return true;
      return (
        (used[index] ?? []).length > 0 || (this.#linesOf(stage.strobe).length === 0 && this.#matters(candidates, index))
      );
    });
    const stages: Stage[] = [];
    const renumbered = new Map<number, { stage: number; skipped: number }>();
    candidates.forEach((stage, index) => {
      if (!isNeeded[index]) return;
      const pulses = used[index] ?? [];
      const skipped = pulses.length === 0 ? stage.pulses - 1 : Math.min(...pulses);
      renumbered.set(index, { stage: stages.length, skipped });
      stages.push({ ...stage, pulses: stage.pulses - skipped });
    });
    const moved = (source: BitSource): BitSource => {
      if (source.kind === "fixed") return source;
      const { stage = 0, skipped = 0 } = renumbered.get(source.stage) ?? {};
      return { ...source, stage, pulse: source.pulse - skipped };
    };
    return {
      ram: this.#prober.ram,
      stages,
      address: address.map(moved),
      data: data.map(moved),
      rest: this.#pins.rest,
      isFree,
    };
  }

  /** Whether a strobe without lines is needed: without it, what is shifted in decides nothing. */
  #matters(candidates: readonly Stage[], without: number): boolean {
    const stages = candidates.filter((_, index) => index !== without);
    const lit = (chosen: readonly Stage[]) =>
      this.#last(
        this.#prober.writesOf(
          chosen.flatMap((stage) => {
            const levels = new Map(this.#linesOf(stage.strobe).map((net) => [net, flip(this.#pins.rest.get(net))]));
            for (const net of stage.held.keys()) levels.delete(net);
            return Array.from({ length: stage.pulses }, (): ProbePulse => ({ stage, levels }));
          }),
        ),
      );
    const [all, fewer] = [lit(candidates), lit(stages)];
    return all?.address !== fewer?.address || all?.byte !== fewer?.byte;
  }

  #check(path: WritePath): WritePath | NoPath {
    const random = randomStream("writes to try", 1);
    for (let trial = 0; trial < TRIALS; trial++) {
      const bit = (source: BitSource, index: number) =>
        source.kind === "fixed" ? source.level * 2 ** index : Math.floor(random() * 2) * 2 ** index;
      const at = path.address.reduce((sum, source, index) => sum + bit(source, index), 0);
      const byte = path.data.reduce((sum, source, index) => sum + bit(source, index), 0);
      const levels = levelsFor(path, at, byte);
      const pulses = path.stages.flatMap((stage, index) =>
        (levels[index] ?? []).map((one): ProbePulse => ({ stage, levels: one })),
      );
      const landed = this.#last(this.#prober.writesOf(pulses));
      if (landed?.address !== at || landed.byte !== byte) {
        return { problem: "What its inputs write does not land where single lines say; such a way is not followed." };
      }
    }
    return path;
  }

  /** Strobes with the most lines first. */
  #byLines(): readonly Strobe[] {
    return [...this.#pins.strobes].sort((one, other) => this.#linesOf(other).length - this.#linesOf(one).length);
  }

  #linesOf({ net }: Strobe): readonly NetId[] {
    return this.#pins.linesOf.get(net) ?? [];
  }

  /** A strobe's lines, and inputs that could open or close its way: other strobes, held at a level. */
  #linesBeside(strobe: Strobe): readonly NetId[] {
    const others = this.#pins.strobes.filter(({ net }) => net !== strobe.net).map(({ net }) => net);
    return [...this.#linesOf(strobe), ...others];
  }

  #name(net: NetId): string {
    return this.#prober.machine.circuit.nets[net]?.name ?? "";
  }
}

interface Found {
  readonly address: readonly BitSource[];
  readonly data: readonly BitSource[];
  readonly isFree: boolean;
}

function flip(level: Level | undefined): Level {
  return level === 1 ? 0 : 1;
}

function bitsOf(value: number, count: number): number[] {
  return Array.from({ length: count }, (_, bit) => Math.floor(value / 2 ** bit) & 1);
}
