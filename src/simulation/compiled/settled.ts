import { namesIn } from "../../parts/index.js";
import { type Bit, type BitGraph, TRUE } from "./bit-graph.js";
import { type Level, Levels, ONE, UNKNOWN_LEVEL, ZERO } from "./level.js";
import { driversBut, levelOfNet } from "./net-level.js";
import { readSignals } from "./schedule.js";
import type { Rest } from "./step-view.js";
import type { Signal, Structure } from "./structure.js";

/**
 * The rest of a circuit whose storage and sources have these levels, all nets worked out from them. Undefined where nets hang
 * on each other in a loop: then they hold something themselves.
 */
export function settledRest(
  graph: BitGraph,
  structure: Structure,
  levelOf: (signal: Signal) => Level,
  drivenOf: (source: Signal) => Bit = () => TRUE,
): Rest | undefined {
  const { netCount, signalCount, bits, sources, circuit, memories } = structure;
  const levels: Level[] = Array.from({ length: signalCount }, () => UNKNOWN_LEVEL);
  const driven: Bit[] = Array.from({ length: signalCount }, () => TRUE);
  for (const { signal } of bits) levels[signal] = levelOf(signal);
  for (const { signal } of sources) {
    levels[signal] = levelOf(signal);
    driven[signal] = drivenOf(signal);
  }
  const rest: Rest = { levels, driven, arrays: memories.map(() => 0) };
  const context = { structure, graph, levels: new Levels(graph), followsUnknown: false };
  const state = new Uint8Array(netCount); // 1: being worked out, 2: done
  const workOut = (net: Signal): boolean => {
    if (net >= netCount || state[net] === 2) return true;
    if (state[net] === 1) return false;
    state[net] = 1;
    const rail = circuit.nets[net]?.rail;
    if (!rail) {
      for (const read of readByNet(structure, net)) if (!workOut(read)) return false;
    }
    const made = rail ? { level: rail === "high" ? ONE : ZERO, driven: TRUE } : levelOfNet(context, net, rest);
    levels[net] = made.level;
    driven[net] = made.driven;
    state[net] = 2;
    return true;
  };
  for (let net = 0; net < netCount; net++) if (!workOut(net)) return undefined;
  return rest;
}

function readByNet(structure: Structure, net: Signal): readonly Signal[] {
  return driversBut(structure, net, -1).flatMap((driver) => {
    if (driver.kind === "source") return [];
    if (driver.kind === "memory") {
      const { memory = 0 } = structure.ports[driver.port] ?? {};
      return (structure.memories[memory]?.ports ?? []).flatMap((port) => readSignals(structure, port));
    }
    const { chip, value, enable } = driver;
    return [value, ...(enable ? [enable] : [])].flatMap(namesIn).map((name) => structure.signalOf(chip, name));
  });
}
