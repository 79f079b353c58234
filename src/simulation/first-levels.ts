import type { NetId } from "../circuit/circuit.js";
import { MemoryState } from "./memory-state.js";
import type { SimulatorOptions } from "./simulator.js";
import type { Tables } from "./tables.js";
import { LOW, UNKNOWN, type Value } from "./value.js";

/** What drivers carry before the circuit settles: oscillators stand low, inputs are as given. */
export function firstDriven({ drivers }: Tables, inputs: ReadonlyMap<NetId, Value>): Int32Array {
  return Int32Array.from(drivers, ({ source, net }) => {
    if (source === "clock") return LOW;
    return source === "outside" ? (inputs.get(net.id) ?? LOW) : UNKNOWN;
  });
}

/** The memories with what they are given; what is not given is unknown. */
export function loadMemories(tables: Tables, words: Int32Array, { contents, marks }: SimulatorOptions): MemoryState[] {
  let mark = marks ? 1 : 0;
  const states: MemoryState[] = [];
  for (const memory of tables.memories) {
    const first = states[memory.firstPort];
    const state = new MemoryState(tables, memory, words, first ?? mark);
    states.push(state);
    if (first) continue;
    if (marks) mark += state.contents.length * memory.dataOut.length;
    const given = contents?.get(memory.chip);
    if (given) state.load(given);
  }
  return states;
}
