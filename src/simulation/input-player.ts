import type { NetId } from "../circuit/circuit.js";
import type { Fs } from "../quantity/index.js";
import type { NetObserver } from "./simulator.js";
import type { Value } from "./value.js";

/** What plays at the inputs of a simulated circuit sees of it: a timed simulator, or a compiled one. */
export interface InputPlayer {
  /** Femtoseconds. */
  readonly now: number;
  /** Sets an input from outside, at a time not before now. */
  drive(net: NetId, time: Fs, value: Value): void;
  /** Calls `act` at a time not before now. */
  at(time: Fs, act: () => void): void;
  /** Has every change of a net told to `observer` from now on. */
  observe(net: NetId, observer: NetObserver): void;
}
