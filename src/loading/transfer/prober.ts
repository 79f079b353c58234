import type { Chip, NetId } from "../../circuit/index.js";
import type { Machine, MachineState } from "../../simulation/index.js";
import { wordsOf } from "../mapping/bit-numbers.js";
import { PinClock } from "./pin-clock.js";
import type { Level } from "./pins.js";
import { type Stage, pulse } from "./write-path.js";

/** What came of an experiment: the one word that was written, and its value. */
export interface Landed {
  readonly address: number;
  readonly byte: number;
}

/** One pulse of an experiment; without a stage, levels that are set and no pulse. */
export interface ProbePulse {
  readonly stage: Stage | undefined;
  readonly levels: ReadonlyMap<NetId, Level>;
}

/** Odd, so that a change of an input does not fall on an edge of an oscillator. */
const OFFSET_FS = 3_137_311;
/** Words that are to be seen changed: what all of a memory does says nothing. */
const MOST_WORDS = 64;

/**
 * Tries what pulses at the inputs write into a memory, always from the same moment on. Everything is done twice, with the memory
 * all low and all high, so that no byte can hide in what was there.
 */
export class Prober {
  readonly machine: Machine;
  readonly ram: Chip;
  readonly #start: MachineState;
  readonly #rest: ReadonlyMap<NetId, Level>;
  /** The inputs that pulse. */
  strobes: readonly NetId[] = [];
  readonly #settleFs: number;
  readonly #patienceFs: number;
  /** Whether a write that does not come soon is waited for: a board may let nobody write until it is blanked. */
  isPatient = false;

  /** `settleFs` is waited after the pulses; whoever is patient waits up to `patienceFs` where nothing was written by then. */
  constructor(machine: Machine, ram: Chip, rest: ReadonlyMap<NetId, Level>, settleFs: number, patienceFs: number) {
    this.machine = machine;
    this.ram = ram;
    this.#start = machine.save();
    this.#rest = rest;
    this.#settleFs = settleFs;
    this.#patienceFs = patienceFs;
  }

  /** All words that were written, each with its value; nothing where more were than any one byte can be behind. */
  writesOf(pulses: readonly ProbePulse[]): readonly Landed[] {
    const size = wordsOf(this.ram);
    const [low, high] = [0x00, 0xff].map((fill) => this.#run(pulses, new Uint8Array(size).fill(fill)));
    const landed: Landed[] = [];
    for (let address = 0; address < size && landed.length < MOST_WORDS; address++) {
      const [one, other] = [low?.[address] ?? 0, high?.[address] ?? 0];
      if (one !== 0x00 || other !== 0xff) landed.push({ address, byte: one });
    }
    return landed;
  }

  /** Puts the machine back to where it stood. */
  leave(): void {
    this.machine.restore(this.#start);
  }

  #run(pulses: readonly ProbePulse[], contents: Uint8Array): Uint8Array {
    const { machine, ram } = this;
    machine.restore(this.#start);
    machine.load(ram, contents);
    const sent = drivePulses(machine, this.#rest, this.strobes, pulses);
    const before = machine.writesTo(ram);
    machine.run(sent + this.#settleFs);
    if (this.isPatient && machine.writesTo(ram) === before) {
      const end = sent + this.#patienceFs;
      const step = this.#patienceFs / 16;
      while (machine.now < end && machine.writesTo(ram) === before) machine.run(machine.now + step);
      machine.run(machine.now + this.#settleFs);
    }
    return machine.contentsOf(ram);
  }
}

/** Has inputs pulse from now on, each as soon as it may; gives when the last change comes. The machine goes on by itself. */
export function drivePulses(
  machine: Machine,
  rest: ReadonlyMap<NetId, Level>,
  strobes: readonly NetId[],
  pulses: readonly ProbePulse[],
): number {
  const clock = new PinClock(machine.circuit, rest, strobes);
  clock.wait(machine.now + OFFSET_FS);
  for (const { stage, levels } of pulses) {
    if (stage) pulse(clock, stage, levels);
    else for (const [net, level] of levels) clock.set(net, level);
  }
  for (const { net, level, time } of clock.changes) machine.drive(net, time, level);
  return clock.now;
}
