import type { Value } from "../value.js";

/** An input from outside that is to take a value at a time in femtoseconds. */
export interface PlannedInput {
  readonly time: number;
  readonly source: number;
  readonly value: Value;
}

/** Inputs to come, in order of time; those of one time in the order in which they were planned. */
export class PlannedInputs {
  private list: PlannedInput[] = [];
  private done = 0; // of the list, from its begin

  get first(): PlannedInput | undefined {
    return this.list[this.done];
  }

  /** All from the next on. */
  get all(): readonly PlannedInput[] {
    return this.list.slice(this.done);
  }

  add(input: PlannedInput): void {
    let place = this.list.length;
    while (place > this.done && (this.list[place - 1]?.time ?? 0) > input.time) place--;
    if (place === this.list.length) this.list.push(input);
    else this.list.splice(place, 0, input);
  }

  /** Those of a time. */
  at(time: number): readonly PlannedInput[] {
    let from = this.done;
    while ((this.list[from]?.time ?? Infinity) < time) from++;
    let to = from;
    while (this.list[to]?.time === time) to++;
    return this.list.slice(from, to);
  }

  /** Times up to this one at which any come. */
  timesUpTo(last: number): readonly number[] {
    const times: number[] = [];
    for (let index = this.done; (this.list[index]?.time ?? Infinity) <= last; index++) {
      const { time } = this.list[index] ?? { time: last };
      if (time !== times.at(-1)) times.push(time);
    }
    return times;
  }

  /** So many are over. */
  drop(count: number): void {
    this.done += count;
    if (this.done < MANY || 2 * this.done < this.list.length) return;
    this.list = this.list.slice(this.done);
    this.done = 0;
  }

  clear(): void {
    this.list = [];
    this.done = 0;
  }
}

/** So many are let lie before the list is made shorter. */
const MANY = 1024;
