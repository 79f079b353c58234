import type { NetId } from "../circuit/circuit.js";
import type { Waveform } from "../raster/index.js";
import type { Simulator } from "./simulator.js";
import { HIGH, LOW, MARK_SHIFT, UNKNOWN, VALUE, type Value } from "./value.js";

/** The record of one net: a value at first, then every change. Arrays double as they fill. */
export class Tape {
  readonly net: NetId;
  private begin: number;
  private beginsWith: number;
  private unknownBefore = 0;
  private length = 0;
  private readonly hasMarks: boolean;
  private timeStore = new Float64Array(64);
  private valueStore = new Uint8Array(64);
  private markStore: Int32Array;

  /** `first` is a word as `value.ts` says. Marks are kept only where they are asked for. */
  constructor(net: NetId, from: number, first: number, hasMarks = false) {
    this.net = net;
    this.begin = from;
    this.beginsWith = first;
    this.hasMarks = hasMarks;
    this.markStore = new Int32Array(hasMarks ? 64 : 0);
  }

  /** When the record begins, in femtoseconds, and the value and mark then. */
  get from(): number {
    return this.begin;
  }

  get first(): number {
    return this.beginsWith;
  }

  /** For how long the net was unknown or undriven in what was forgotten, in femtoseconds. */
  get forgottenUnknownFs(): number {
    return this.unknownBefore;
  }

  /** Times of the changes in femtoseconds, never falling. */
  get timesFs(): Float64Array {
    return this.timeStore.subarray(0, this.length);
  }

  /** The value after each change. */
  get values(): Uint8Array {
    return this.valueStore.subarray(0, this.length);
  }

  /** The mark after each change; empty where marks are not kept. */
  get marks(): Int32Array {
    return this.markStore.subarray(0, this.hasMarks ? this.length : 0);
  }

  /** Number of changes. */
  get count(): number {
    return this.length;
  }

  add(time: number, word: number): void {
    if (this.length === this.timeStore.length) this.grow();
    this.timeStore[this.length] = time;
    this.valueStore[this.length] = word & VALUE;
    if (this.hasMarks) this.markStore[this.length] = word >> MARK_SHIFT;
    this.length++;
  }

  /** Index of the last change not after `time`; -1 before the first. */
  indexAt(time: number): number {
    let [low, high] = [0, this.length];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if ((this.timeStore[middle] as number) <= time) low = middle + 1;
      else high = middle;
    }
    return low - 1;
  }

  /** The value at a time; a change at that very time counts as done. */
  valueAt(time: number): Value {
    const index = this.indexAt(time);
    return (index < 0 ? this.first & VALUE : this.valueStore[index]) as Value;
  }

  /** The mark at a time. */
  markAt(time: number): number {
    const index = this.indexAt(time);
    return index < 0 ? this.first >> MARK_SHIFT : (this.markStore[index] ?? 0);
  }

  /** Lets the record begin at `time`; nothing changes where it does already. */
  forget(time: number): void {
    if (time <= this.begin) return;
    this.unknownBefore = unknownTime(this, time);
    const last = this.indexAt(time);
    if (last >= 0) {
      const mark = this.hasMarks ? (this.markStore[last] ?? 0) : 0;
      this.beginsWith = (mark << MARK_SHIFT) | (this.valueStore[last] ?? 0);
      this.timeStore.copyWithin(0, last + 1, this.length);
      this.valueStore.copyWithin(0, last + 1, this.length);
      this.markStore.copyWithin(0, last + 1, this.length);
      this.length -= last + 1;
    }
    this.begin = time;
  }

  private grow(): void {
    const size = 2 * this.length;
    const [times, values] = [new Float64Array(size), new Uint8Array(size)];
    times.set(this.timeStore);
    values.set(this.valueStore);
    [this.timeStore, this.valueStore] = [times, values];
    if (!this.hasMarks) return;
    const marks = new Int32Array(size);
    marks.set(this.markStore);
    this.markStore = marks;
  }
}

/** Records a net from now on. With `marks` also changes of the mark alone. */
export function record(simulator: Simulator, net: NetId, marks = false): Tape {
  const tape = new Tape(net, simulator.now, simulator.wordOf(net), marks);
  simulator.observe(net, (time, word) => tape.add(time, word));
  return tape;
}

/** A record as a monitor takes it, and for how long it was not known what the net carries. */
export interface TwoLevels {
  readonly wave: Waveform;
  /** Time in which the net was unknown or undriven, forgotten or not, in femtoseconds; it counts as low. */
  readonly unknownFs: number;
}

/** For how long a net was unknown or undriven until `until`, what was forgotten included, in femtoseconds. */
function unknownTime(tape: Tape, until: number): number {
  const { timesFs, values } = tape;
  let unknown = tape.forgottenUnknownFs;
  let [value, since] = [tape.first & VALUE, tape.from];
  for (let index = 0; index < values.length && since < until; index++) {
    const time = Math.min(timesFs[index] as number, until);
    if (value >= UNKNOWN) unknown += time - since;
    [value, since] = [values[index] as number, time];
  }
  return value >= UNKNOWN ? unknown + Math.max(0, until - since) : unknown;
}

/** Makes two levels of a record that ends at `until`. */
export function twoLevels(tape: Tape, until: number): TwoLevels {
  const times: number[] = [];
  const { timesFs, values } = tape;
  const initial = (tape.first & VALUE) === HIGH ? HIGH : LOW;
  let level: number = initial;
  for (let index = 0; index < values.length; index++) {
    const next = values[index] === HIGH ? HIGH : LOW;
    if (next === level) continue;
    level = next;
    times.push(timesFs[index] as number);
  }
  return { wave: { initial, timesFs: Float64Array.from(times) }, unknownFs: unknownTime(tape, until) };
}
