import { type Bit, type BitGraph, FALSE, TRUE } from "./bit-graph.js";
import { type Level, type Levels, ONE, UNKNOWN_LEVEL, ZERO } from "./level.js";
import type { Rest } from "./step-view.js";
import type { Driver, Port, Signal, Structure } from "./structure.js";

export interface NetLevel {
  readonly level: Level;
  readonly driven: Bit;
}

interface Context {
  readonly structure: Structure;
  readonly graph: BitGraph;
  readonly levels: Levels;
  readonly followsUnknown: boolean;
}

/** What one driver does: surely nothing, or surely a known level; else who knows. */
interface Driving {
  readonly isOff: Bit;
  readonly isKnown: Bit;
  readonly value: Bit;
}

/**
 * What a net carries, from what its drivers' chips see and hold. Who drives nothing gives way, equals agree; all else is
 * unknown. Without the driver of one port that is what the port's chip sees while its own output is off.
 */
export function levelOfNet(context: Context, net: Signal, at: Rest, withoutPort = -1): NetLevel {
  const { structure, graph } = context;
  const rail = structure.circuit.nets[net]?.rail;
  if (rail) return { level: rail === "high" ? ONE : ZERO, driven: TRUE };
  const drivers = driversBut(structure, net, withoutPort);
  const [only] = drivers;
  if (drivers.length === 1 && only?.kind === "logic" && !only.enable) {
    return { level: evaluate(context, only, at), driven: TRUE };
  }
  const all = drivers.map((driver) => drivingOf(context, driver, at));
  const driven = graph.any(all.map(({ isOff }) => graph.not(isOff)));
  const high = graph.any(all.map(({ isKnown, value }) => graph.and(isKnown, value)));
  const low = graph.any(all.map(({ isKnown, value }) => graph.and(isKnown, graph.not(value))));
  const unclear = graph.any(all.map(({ isOff, isKnown }) => graph.not(graph.or(isOff, isKnown))));
  const known = [driven, graph.not(unclear), graph.not(graph.and(high, low))].reduce((a, b) => graph.and(a, b), TRUE);
  return { level: { value: high, known }, driven };
}

const driverLists = new WeakMap<Structure, readonly (readonly Driver[])[]>();

/** The drivers of a net, but for those of one port. */
export function driversBut(structure: Structure, net: Signal, port: number): readonly Driver[] {
  let lists = driverLists.get(structure);
  if (!lists) {
    lists = structure.driversOf.map((own) => own.flatMap((index) => structure.drivers[index] ?? []));
    driverLists.set(structure, lists);
  }
  const all = lists[net] ?? [];
  return port < 0 ? all : all.filter((driver) => !(driver.kind === "memory" && driver.port === port));
}

function evaluate({ structure, levels }: Context, driver: Driver & { kind: "logic" }, at: Rest): Level {
  return levels.evaluate(driver.value, (name) => levelAt(at, structure.signalOf(driver.chip, name)));
}

function levelAt({ levels }: Rest, signal: Signal): Level {
  return levels[signal] ?? UNKNOWN_LEVEL;
}

function drivingOf(context: Context, driver: Driver, at: Rest): Driving {
  const { structure, levels, graph } = context;
  if (driver.kind === "source") {
    const signal = structure.sources[driver.source]?.signal ?? 0;
    const [level, driven] = [levelAt(at, signal), at.driven[signal] ?? TRUE];
    return { isOff: graph.not(driven), isKnown: graph.and(driven, level.known), value: level.value };
  }
  if (driver.kind === "logic") {
    const level = evaluate(context, driver, at);
    const { enable } = driver;
    if (!enable) return { isOff: FALSE, isKnown: level.known, value: level.value };
    const on = levels.evaluate(enable, (name) => levelAt(at, structure.signalOf(driver.chip, name)));
    return drivingIf(graph, on, level);
  }
  const port = structure.ports[driver.port];
  if (!port) return { isOff: TRUE, isKnown: FALSE, value: FALSE };
  const named = (name: string) => levelAt(at, structure.signalOf(port.chip, name));
  const read = levels.evaluate(port.read, named);
  const on = port.write ? levels.and(read, levels.not(levels.evaluate(port.write, named))) : read;
  if (on.value === FALSE && on.known === TRUE) return drivingIf(graph, on, UNKNOWN_LEVEL);
  return drivingIf(graph, on, wordBit(context, port, driver.port, driver.bit, at));
}

function drivingIf(graph: BitGraph, on: Level, level: Level): Driving {
  return {
    isOff: graph.and(on.known, graph.not(on.value)),
    isKnown: graph.and(graph.and(on.known, on.value), level.known),
    value: level.value,
  };
}

/** One bit of the word that a port reads. While another port writes that cell it is unknown. */
function wordBit(context: Context, port: Port, index: number, bit: number, at: Rest): Level {
  const { graph, structure, levels } = context;
  const { memory } = port;
  const address = port.address.map((signal) => levelAt(at, signal));
  const values = address.map(({ value }) => value);
  const state = at.arrays[memory] ?? 0;
  const meets = (structure.memories[memory]?.ports ?? []).flatMap((other) => {
    const writer = structure.ports[other];
    if (other === index || !writer?.write) return [];
    const writes = levels.evaluate(writer.write, (name) => levelAt(at, structure.signalOf(writer.chip, name)));
    const apart = address.map((level, n) => {
      const theirs = levelAt(at, writer.address[n] ?? 0);
      return graph.and(graph.and(level.known, theirs.known), graph.xor(level.value, theirs.value));
    });
    return [graph.and(levels.mayBeHigh(writes), graph.not(graph.any(apart)))];
  });
  const undisturbed = graph.not(graph.any(meets));
  if (context.followsUnknown) {
    const word = graph.read(
      memory,
      state,
      values,
      address.map(({ known }) => known),
    );
    return { value: graph.bitOf(word, bit), known: graph.and(graph.bitOf(word, 8 + bit), undisturbed) };
  }
  const addressKnown = address.reduce((all, { known }) => graph.and(all, known), TRUE);
  return { value: graph.bitOf(graph.read(memory, state, values), bit), known: graph.and(addressKnown, undisturbed) };
}
