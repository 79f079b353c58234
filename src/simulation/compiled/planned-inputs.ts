import type { Value } from "../value.js";

/** An input from outside that is to take a value at a time in femtoseconds. */
export interface PlannedInput {
  readonly time: number;
  readonly source: number;
  readonly value: Value;
}

/** So many are let lie before the lists are made shorter. */
const MANY = 4096;

/**
 * Inputs to come, in order of time; those of one time in the order in which they were planned. They are named by their place
 * in the lists, since there are many of them and they are looked at often: an input has `time[place]` and so on.
 */
export class PlannedInputs {
  time: number[] = [];
  source: number[] = [];
  value: Value[] = [];
  /** Place of the next one. */
  next = 0;

  /** When the next ones come; never, if there are none. */
  get nextTime(): number {
    return this.next < this.time.length ? (this.time[this.next] as number) : Infinity;
  }

  /** All that are to come. */
  get all(): readonly PlannedInput[] {
    return this.time.slice(this.next).map((time, index) => ({
      time,
      source: this.source[this.next + index] ?? 0,
      value: this.value[this.next + index] ?? 0,
    }));
  }

  add(time: number, source: number, value: Value): void {
    let place = this.time.length;
    while (place > this.next && (this.time[place - 1] as number) > time) place--;
    if (place === this.time.length) {
      this.time.push(time);
      this.source.push(source);
      this.value.push(value);
      return;
    }
    this.time.splice(place, 0, time);
    this.source.splice(place, 0, source);
    this.value.splice(place, 0, value);
  }

  /** The place behind all that come at the same time as the one at this place. */
  endOf(place: number): number {
    const time = this.time[place];
    let end = place + 1;
    while (end < this.time.length && this.time[end] === time) end++;
    return end;
  }

  /** Those before this place are over. */
  dropUpTo(place: number): void {
    this.next = place;
    if (place < MANY || 2 * place < this.time.length) return;
    this.time = this.time.slice(place);
    this.source = this.source.slice(place);
    this.value = this.value.slice(place);
    this.next = 0;
  }

  replace(inputs: readonly PlannedInput[]): void {
    this.time = inputs.map(({ time }) => time);
    this.source = inputs.map(({ source }) => source);
    this.value = inputs.map(({ value }) => value);
    this.next = 0;
  }
}
