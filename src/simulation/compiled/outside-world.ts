import type { NetId } from "../../circuit/circuit.js";
import { type Fs, longFs } from "../../quantity/index.js";
import type { InputPlayer } from "../input-player.js";
import type { NetObserver } from "../simulator.js";
import type { Value } from "../value.js";
import type { PlannedInputs } from "./planned-inputs.js";
import { Timers } from "./timers.js";

/**
 * What plays at the inputs of a compiled circuit. It is asked ahead of time what it will do: whoever acts at a time knows that
 * time as now, while the circuit has not come there yet. Only who waits for a change of a net inside the circuit has to wait for
 * the circuit.
 */
export class OutsideWorld implements InputPlayer {
  now = 0;
  private readonly planned: PlannedInputs;
  private readonly sourceOf: (net: NetId) => number | undefined;
  private readonly timers = new Timers();
  private readonly inputObservers = new Map<NetId, NetObserver[]>();
  private readonly innerObservers = new Map<NetId, NetObserver[]>();

  constructor(planned: PlannedInputs, sourceOf: (net: NetId) => number | undefined) {
    this.planned = planned;
    this.sourceOf = sourceOf;
  }

  /** Nets inside the circuit whose changes are waited for. */
  get observed(): Iterable<NetId> {
    return this.innerObservers.keys();
  }

  /** Whether somebody waits to act at a time to come. */
  get isWaiting(): boolean {
    return this.timers.nextTime < Infinity;
  }

  /** Throws RangeError where the net is no input from outside, or the time is past. */
  drive(net: NetId, time: Fs, value: Value): void {
    if (!(time >= this.now)) throw new RangeError(`${time} fs is before now, ${this.now} fs`);
    const source = this.sourceOf(net);
    if (source === undefined) throw new RangeError(`net ${net} is no input from outside`);
    this.planned.add(time, source, value);
    if (this.inputObservers.has(net)) this.at(time, () => this.tell(this.inputObservers, net, time, value));
  }

  at(time: Fs, act: () => void): void {
    if (!(time >= this.now)) throw new RangeError(`${time} fs is before now, ${this.now} fs`);
    this.timers.add(time, act);
  }

  observe(net: NetId, observer: NetObserver): void {
    const observers = this.sourceOf(net) === undefined ? this.innerObservers : this.inputObservers;
    observers.set(net, [...(observers.get(net) ?? []), observer]);
  }

  /** Does all that is to be done up to this time. */
  goOnUpTo(time: number): void {
    while (this.timers.nextTime <= time) {
      this.now = this.timers.nextTime;
      this.timers.doNext();
    }
  }

  /** A net inside the circuit has changed, at a time to which the circuit has come. */
  hear(net: NetId, time: number, value: Value): void {
    this.now = time;
    this.tell(this.innerObservers, net, time, value);
  }

  private tell(all: ReadonlyMap<NetId, readonly NetObserver[]>, net: NetId, time: number, value: Value): void {
    for (const observer of all.get(net) ?? []) observer(longFs(time), value);
  }
}
