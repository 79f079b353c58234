import { type ChosenDelays, STAND_IN_DELAY, type StandIn, arcSlot, standIn } from "./choice.js";
import type { EventQueue } from "./queue.js";
import type { Tables } from "./tables.js";
import { VALUE } from "./value.js";

/** What an event that was cancelled is addressed to. */
export const CANCELLED = -1;

/**
 * Changes that are on their way from the inside of a chip to its output pins: the rule for pulses.
 *
 * A change that would not come after the one before it at the same output cancels with it: both are gone, and what is left is
 * one change from the value before both to the value after, at the later one's time (none if they are the same). With two
 * levels the pair always vanishes; with "undriven" and "unknown" it may leave a change.
 */
export class PendingChanges {
  /** Pairs that cancelled. */
  cancelled = 0;

  private readonly tables: Tables;
  private readonly delays: Float64Array;
  private readonly queue: EventQueue;
  private readonly driven: Int32Array; // of drivers: the value at the pin
  private readonly target: Int32Array; // of drivers: the value when all that is pending has come
  private readonly count: Int32Array; // of drivers: changes on their way
  private readonly last: Int32Array; // of drivers: the latest of them
  private readonly used = new Map<number, StandIn>();

  /** `driven` is the simulator's, with the values from which the outputs start. */
  constructor(tables: Tables, delays: ChosenDelays, queue: EventQueue, driven: Int32Array) {
    this.tables = tables;
    this.delays = delays.arcs;
    this.queue = queue;
    this.driven = driven;
    this.target = driven.slice();
    this.count = new Int32Array(driven.length);
    this.last = new Int32Array(driven.length).fill(-1);
  }

  /** Arcs without figures that were needed so far. */
  get standIns(): readonly StandIn[] {
    return [...this.used.values()];
  }

  /** Begins anew with nothing on its way. */
  clear(): void {
    this.target.set(this.driven);
    this.count.fill(0);
    this.last.fill(-1);
  }

  /** Puts a change on its way that comes after all others of its driver. */
  put(driver: number, time: number, word: number): void {
    this.target[driver] = word;
    const event = this.queue.put(time, driver, word);
    this.queue.previous[event] = this.last[driver] as number;
    this.last[driver] = event;
    this.count[driver] = (this.count[driver] as number) + 1;
  }

  /** A change of this driver has come out and is pending no more. */
  arrived(driver: number): void {
    this.count[driver] = (this.count[driver] as number) - 1;
  }

  /** Takes up that a driver should show `word` because of an edge at the pin of this arc group. */
  show(driver: number, word: number, group: number, edge: 0 | 1, time: number): void {
    const before = this.target[driver] as number;
    if (word === before) return;
    this.target[driver] = word;
    const delay = this.delays[arcSlot(group, edge, before & VALUE, word & VALUE)] as number;
    const known = delay > 0 ? delay : this.useStandIn(group, edge, before & VALUE, word & VALUE);
    this.schedule(driver, time + known, word);
  }

  private schedule(driver: number, time: number, word: number): void {
    const { queue } = this;
    let count = this.count[driver] as number;
    while (count > 0) {
      const last = this.last[driver] as number;
      if ((queue.time[last] as number) < time) break;
      queue.target[last] = CANCELLED;
      this.cancelled++;
      count--;
      const previous = queue.previous[last] as number;
      this.last[driver] = previous;
      const before = count > 0 ? queue.word[previous] : this.driven[driver];
      if (before === word) {
        this.count[driver] = count;
        return;
      }
    }
    this.count[driver] = count;
    this.put(driver, time, word);
  }

  private useStandIn(group: number, edge: 0 | 1, before: number, after: number): number {
    const slot = arcSlot(group, edge, before, after);
    if (!this.used.has(slot)) this.used.set(slot, standIn(this.tables, group, edge, before, after));
    return STAND_IN_DELAY;
  }
}
