import { decide } from "./decision.js";
import type { MemoryState } from "./memory-state.js";
import type { PendingChanges } from "./pending.js";
import { markOfAnswer } from "./provenance.js";
import type { Tables } from "./tables.js";
import { HIGH, LOW, MARK_SHIFT, UNKNOWN, VALUE } from "./value.js";

/**
 * The inside of the chips: what a change at an input pin does to storage, memories and outputs, without delay. What the
 * outputs should show goes to `PendingChanges`, which delays it.
 *
 * Registers that one change clocks all take what stood before it; latches, clears and presets follow; then bits that are
 * clocked or gated by bits of the same chip. A clock that may or may not have risen leaves a bit unknown unless it would have
 * taken what it holds.
 */
export class ChipInsides {
  private readonly tables: Tables;
  private readonly words: Int32Array; // of variables: what pins see, what storage holds
  private readonly memories: readonly MemoryState[];
  private readonly pending: PendingChanges;
  private readonly marks: boolean;
  private readonly work: Uint8Array; // of variables: what a change sets going
  private readonly clockLevel: Int32Array; // of clock groups
  private readonly touchedBit = new Int32Array(MOST_TOUCHED); // scratch: storage bits that this change has changed
  private readonly touchedWord = new Int32Array(MOST_TOUCHED);
  private readonly clockedAt: Float64Array; // of storage bits: when last clocked to another word, and which it had before
  private readonly heldBefore: Int32Array;

  /** `words` is the simulator's, settled. With `marks` the words' marks are followed. */
  constructor(
    tables: Tables,
    words: Int32Array,
    memories: readonly MemoryState[],
    pending: PendingChanges,
    marks: boolean,
  ) {
    this.tables = tables;
    this.words = words;
    this.memories = memories;
    this.pending = pending;
    this.marks = marks;
    this.clockedAt = new Float64Array(tables.bitVariable.length).fill(-1);
    this.heldBefore = new Int32Array(tables.bitVariable.length);
    this.work = Uint8Array.from(tables.variables, (_, variable) => workOf(tables, variable));
    this.clockLevel = Int32Array.from(tables.clockRoot, (root) => this.answer(root));
  }

  /** What is known beyond the words of the variables; to be changed by `Simulator.restore` alone. */
  get state(): readonly (Int32Array | Float64Array)[] {
    return [this.clockLevel, this.clockedAt, this.heldBefore];
  }

  /** Acts on a pin whose word has just changed. An edge from or to "unknown" counts as the one that it may be. */
  react(pin: number, before: number, after: number, time: number): void {
    const work = this.work[pin] as number;
    if (work === 0) return;
    const edge = (after & VALUE) === HIGH || (before & VALUE) === LOW ? 0 : 1;
    if ((work & STORES) !== 0) {
      if ((work & (edge === 0 ? IDLE_ON_RISE : IDLE_ON_FALL)) === 0) this.store(pin, edge, time);
      else this.endClocks(pin, after & VALUE, edge);
    }
    if ((work & OF_MEMORY) !== 0) {
      const memory = this.tables.memoryOfPin[pin] as number;
      if (this.memories[memory]?.react(pin, time)) {
        this.showMemory(memory, pin, edge, time);
        this.showOtherPorts(memory, time);
      }
    }
    if ((work & IS_READ) === 0) return;
    const { start, items } = this.tables.readersOfPin;
    const end = start[pin + 1] as number;
    for (let index = start[pin] as number; index < end; index += 2) {
      this.evaluate(items[index] as number, items[index + 1] as number, edge, time);
    }
  }

  /** Brings a port's data outputs up to what it reads, as if its address had moved: after a write through another port. */
  showPort(port: number, time: number): void {
    this.showMemory(port, this.tables.memories[port]?.address[0] ?? 0, 0, time);
  }

  private showOtherPorts(port: number, time: number): void {
    const first = this.tables.memories[port]?.firstPort as number;
    for (let other = first; this.tables.memories[other]?.firstPort === first; other++) {
      if (other === port) continue;
      this.memories[other]?.show();
      this.showPort(other, time);
    }
  }

  /** Brings a memory's data outputs up to what it holds, as an effect of this pin. */
  showMemory(memory: number, pin: number, edge: 0 | 1, time: number): void {
    const output = this.memories[memory]?.output;
    const table = this.tables.memories[memory];
    if (!output || !table) return;
    const { start, items } = this.tables.memoryArcsOfPin;
    const first = start[pin] as number;
    if (start[pin + 1] === first) return;
    for (let bit = 0; bit < output.length; bit++) {
      const driver = table.dataOut[bit] as number;
      if (driver >= 0) this.pending.show(driver, output[bit] as number, items[first + bit] as number, edge, time);
    }
  }

  /** The value of an expression now. */
  answer(root: number): number {
    return decide(root, this.tables.decisionVariable, this.tables.decisionNext, this.words);
  }

  private markedAnswer(root: number): number {
    const { decisionVariable, decisionNext } = this.tables;
    const answer = decide(root, decisionVariable, decisionNext, this.words);
    if (!this.marks || answer > HIGH) return answer;
    return answer | (markOfAnswer(root, answer, decisionVariable, decisionNext, this.words) << MARK_SHIFT);
  }

  private evaluate(driver: number, group: number, edge: 0 | 1, time: number): void {
    const word = this.markedAnswer(this.tables.driverRoot[driver] as number);
    this.pending.show(driver, word, group, edge, time);
  }

  /** The edge of a clock that does nothing. */
  private endClocks(pin: number, value: number, edge: 0 | 1): void {
    const { start, items } = this.tables.clocksOf;
    const end = start[pin + 1] as number;
    const level = value === UNKNOWN ? UNKNOWN : edge === 0 ? HIGH - value : value;
    for (let index = start[pin] as number; index < end; index++) this.clockLevel[items[index] as number] = level;
  }

  private store(pin: number, edge: 0 | 1, time: number): void {
    let count = this.clockBits(pin, 0, time);
    count = this.followLevels(pin, count);
    // Bits that clock or gate other bits of the same chip; the list grows while it is gone through.
    for (let index = 0; index < count; index++) {
      const variable = this.tables.bitVariable[this.touchedBit[index] as number] as number;
      if (this.work[variable] === 0) continue;
      count = this.clockBits(variable, count, time);
      count = this.followLevels(variable, count);
    }
    const { start, items } = this.tables.effects;
    const base = (this.tables.effectsOfPin[pin] as number) - (this.tables.firstBitOfPin[pin] as number);
    for (let index = 0; index < count; index++) {
      const list = base + (this.touchedBit[index] as number);
      const end = start[list + 1] as number;
      for (let effect = start[list] as number; effect < end; effect += 2) {
        this.evaluate(items[effect] as number, items[effect + 1] as number, edge, time);
      }
    }
  }

  /** Clocks the registers that a variable's change clocks. `count` bits are on the list already; returns how many are now. */
  private clockBits(variable: number, count: number, time: number): number {
    const { clocksOf, clockRoot, bitsOfClock, edgeRoot, bitVariable } = this.tables;
    const first = count;
    const end = clocksOf.start[variable + 1] as number;
    for (let index = clocksOf.start[variable] as number; index < end; index++) {
      const clock = clocksOf.items[index] as number;
      const before = this.clockLevel[clock] as number;
      const after = this.answer(clockRoot[clock] as number);
      if (after === before) continue;
      this.clockLevel[clock] = after;
      if (before === HIGH || after === LOW) continue;
      const isSure = before === LOW && after === HIGH;
      this.exchangeAcross(clock, time);
      const lastBit = bitsOfClock.start[clock + 1] as number;
      for (let item = bitsOfClock.start[clock] as number; item < lastBit; item++) {
        const bit = bitsOfClock.items[item] as number;
        const old = this.words[bitVariable[bit] as number] as number;
        let word = this.markedAnswer(edgeRoot[bit] as number);
        if (word === old || count >= MOST_TOUCHED) continue;
        if (!isSure && (word & VALUE) !== (old & VALUE)) word = UNKNOWN;
        this.touchedBit[count] = bit;
        this.touchedWord[count++] = word;
      }
      this.exchangeAcross(clock, time);
    }
    for (let index = first; index < count; index++) {
      const bit = this.touchedBit[index] as number;
      const held = bitVariable[bit] as number;
      if (this.clockedAt[bit] !== time) {
        this.clockedAt[bit] = time;
        this.heldBefore[bit] = this.words[held] as number;
      }
      this.words[held] = this.touchedWord[index] as number;
    }
    return count;
  }

  /**
   * Two clocks of one chip that rise at the same moment: each row of registers takes what the other held before. Exchanges
   * what was clocked at this moment for what was held before it; called twice, all is as it was.
   */
  private exchangeAcross(clock: number, time: number): void {
    const { readAcross, bitVariable } = this.tables;
    const end = readAcross.start[clock + 1] as number;
    for (let index = readAcross.start[clock] as number; index < end; index++) {
      const bit = readAcross.items[index] as number;
      if (this.clockedAt[bit] !== time) continue;
      const held = bitVariable[bit] as number;
      const word = this.words[held] as number;
      this.words[held] = this.heldBefore[bit] as number;
      this.heldBefore[bit] = word;
    }
  }

  private followLevels(variable: number, count: number): number {
    const { levelsOf, levelRoot, bitVariable } = this.tables;
    const end = levelsOf.start[variable + 1] as number;
    for (let index = levelsOf.start[variable] as number; index < end; index++) {
      const bit = levelsOf.items[index] as number;
      const word = this.markedAnswer(levelRoot[bit] as number);
      if (word === this.words[bitVariable[bit] as number] || count >= MOST_TOUCHED) continue;
      this.words[bitVariable[bit] as number] = word;
      this.touchedBit[count++] = bit;
    }
    return count;
  }
}

/** More bits than any chip changes by one edge; a chip whose bits turn each other for ever stops here. */
const MOST_TOUCHED = 4096;

const IS_READ = 1;
const STORES = 2;
const OF_MEMORY = 4;
/** The pin by itself is the clock, or the clock turned over, of all registers that it clocks, and does nothing else. */
const IDLE_ON_FALL = 8;
const IDLE_ON_RISE = 16;

function workOf(tables: Tables, variable: number): number {
  const has = (start: Int32Array) => (start[variable + 1] ?? 0) > (start[variable] ?? 0);
  const isRead = has(tables.readersOfPin.start) ? IS_READ : 0;
  const stores = has(tables.clocksOf.start) || has(tables.levelsOf.start) ? STORES : 0;
  return isRead | stores | idle(tables, variable) | ((tables.memoryOfPin[variable] ?? -1) >= 0 ? OF_MEMORY : 0);
}

/** Which edge of a pin cannot do anything to storage. */
function idle(
  { variables, levelsOf, clocksOf, clockRoot, decisionVariable, decisionNext }: Tables,
  pin: number,
): number {
  const clocks = clocksOf.items.subarray(clocksOf.start[pin] ?? 0, clocksOf.start[pin + 1] ?? 0);
  if (variables[pin]?.kind !== "pin" || clocks.length === 0 || levelsOf.start[pin] !== levelsOf.start[pin + 1])
    return 0;
  const isAlone = (low: number, high: number) =>
    clocks.every((clock) => {
      const root = clockRoot[clock] ?? 0;
      return decisionVariable[root] === pin && decisionNext[4 * root] === low && decisionNext[4 * root + 1] === high;
    });
  return isAlone(LOW, HIGH) ? IDLE_ON_FALL : isAlone(HIGH, LOW) ? IDLE_ON_RISE : 0;
}
