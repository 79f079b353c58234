import type { Net } from "../circuit/circuit.js";
import type { Tables } from "./tables.js";
import { HIGH, LOW, VALUE } from "./value.js";

/** A time in which two or more drivers drove one net. */
export interface Contention {
  readonly net: Net;
  /** Femtoseconds. */
  readonly from: number;
  /** Absent while it lasts. */
  readonly to?: number;
  /** `U3 1Y1`, or the net's name for a signal from outside; all that took part. */
  readonly pins: readonly string[];
  /** At some moment one drove low and another high. Else they happened to agree. */
  readonly opposed: boolean;
}

const MOST_KEPT = 1000;

/** Keeps the record of contentions, at the drivers' pins. A driver whose value is unknown does not count as driving. */
export class Contentions {
  /** The first ones, in order of their ends; further ones are counted only. */
  readonly ended: Contention[] = [];
  count = 0;
  opposedCount = 0;

  private readonly lasting = new Map<number, { from: number; pins: Set<string>; opposed: boolean }>();

  private readonly tables: Tables;

  constructor(tables: Tables) {
    this.tables = tables;
  }

  /** Those that last. */
  get open(): readonly Contention[] {
    return [...this.lasting].flatMap(([id, one]) => {
      const net = this.tables.circuit.nets[id];
      return net ? [{ net, from: one.from, pins: [...one.pins], opposed: one.opposed }] : [];
    });
  }

  /** Forgets those that have ended, and when the others began. */
  restart(time: number): void {
    this.ended.length = 0;
    this.count = 0;
    this.opposedCount = 0;
    for (const one of this.lasting.values()) one.from = time;
  }

  /** Forgets everything, and looks afresh: who drives against whom now does so from now on. */
  begin(time: number, driven: Int32Array): void {
    this.lasting.clear();
    this.restart(time);
    this.tables.circuit.nets.forEach(({ id }) => this.look(id, time, driven));
  }

  /** Looks at a net after a change of one of its drivers. */
  look(net: number, time: number, driven: Int32Array): void {
    const { start, items } = this.tables.driversOfNet;
    const [first, end] = [start[net] ?? 0, start[net + 1] ?? 0];
    let lows = 0;
    let highs = 0;
    for (let index = first; index < end; index++) {
      const value = (driven[items[index] as number] as number) & VALUE;
      if (value === LOW) lows++;
      else if (value === HIGH) highs++;
    }
    if (lows + highs >= 2) this.note(net, time, driven, lows > 0 && highs > 0);
    else if (this.lasting.size > 0) this.end(net, time);
  }

  private note(net: number, time: number, driven: Int32Array, opposed: boolean): void {
    let one = this.lasting.get(net);
    if (!one) {
      one = { from: time, pins: new Set(), opposed: false };
      this.lasting.set(net, one);
    }
    one.opposed ||= opposed;
    const { start, items } = this.tables.driversOfNet;
    for (let index = start[net] ?? 0; index < (start[net + 1] ?? 0); index++) {
      const driver = items[index] ?? 0;
      const value = (driven[driver] ?? 0) & VALUE;
      const { chip, pin } = this.tables.drivers[driver] ?? { pin: "" };
      if (value === LOW || value === HIGH) one.pins.add(chip ? `${chip.ref} ${pin}` : pin);
    }
  }

  private end(id: number, time: number): void {
    const one = this.lasting.get(id);
    const net = this.tables.circuit.nets[id];
    if (!one || !net) return;
    this.lasting.delete(id);
    if (time === one.from) return;
    this.count++;
    if (one.opposed) this.opposedCount++;
    if (this.ended.length < MOST_KEPT) {
      this.ended.push({ net, from: one.from, to: time, pins: [...one.pins], opposed: one.opposed });
    }
  }
}
