import type { Chip, Circuit, NetId } from "../../circuit/circuit.js";
import { compileTables } from "../compile-tables.js";
import type { PowerUp } from "../power-up.js";
import { Simulator } from "../simulator.js";
import type { Value } from "../value.js";

export interface PowerUpOptions {
  /** What storage holds at first; "unknown" when absent. */
  readonly powerUp?: PowerUp;
  /** First values of inputs from outside; low when absent. */
  readonly inputs?: ReadonlyMap<NetId, Value>;
  /** Contents of memories; what is not given is unknown. */
  readonly contents?: ReadonlyMap<Chip, Uint8Array>;
}

/**
 * A circuit at rest at power-up, as the timed simulation has it: the same seed gives both the same board. Its clocks never
 * tick.
 */
export function restAtPowerUp(circuit: Circuit, options: PowerUpOptions): Simulator {
  const tables = compileTables(circuit);
  // Nothing moves, so no delay is ever asked for.
  const delays = {
    arcs: new Float64Array(32 * tables.arcs.length).fill(1),
    wires: new Float64Array(tables.wires.length),
    oscillators: new Map(),
  };
  return new Simulator(tables, delays, options);
}
