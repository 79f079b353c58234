import type { Circuit, ExternalInput, NetId } from "../../circuit/index.js";
import { SHORT_RESET, planInputs } from "../../simulation/index.js";
import type { Beat } from "./beat.js";

export type Level = 0 | 1;

/** An input that pulses: its level while nothing happens, and the edge around which others are promised to be steady. */
export interface Strobe {
  readonly net: NetId;
  readonly rest: Level;
  /** Absent where no other input refers to it. */
  readonly edge?: "rise" | "fall";
  /** Of a bus's clock that the board makes: it pulses by itself, and whoever writes keeps in step with it. */
  readonly beat?: Beat;
}

/** The inputs by which something outside can write, by the times that the circuit file promises of them. */
export interface ProcessorPins {
  readonly strobes: readonly Strobe[];
  /** Inputs that are set for a strobe, by the net of the strobe. */
  readonly linesOf: ReadonlyMap<NetId, readonly NetId[]>;
  /** Level of every input while nothing happens. */
  readonly rest: ReadonlyMap<NetId, Level>;
  /** Inputs that are timed by nets inside the circuit, by these: whoever drives them must be in step with the board. */
  readonly inStep: ReadonlyMap<NetId, readonly NetId[]>;
}

export function processorPins(circuit: Circuit): ProcessorPins {
  const planned = planInputs(circuit, { activity: "quiet", longestReset: SHORT_RESET });
  const released = new Map(planned.releases.map(({ net, value }) => [net, value === 1 ? 1 : 0] as const));
  const rest = new Map<NetId, Level>(
    circuit.inputs.map(({ net }) => [net, released.get(net) ?? (planned.first.get(net) === 1 ? 1 : 0)]),
  );
  const free = new Map(
    circuit.inputs.flatMap((input) => (input.timing.kind === "any time" ? [[input.net, input]] : [])),
  );
  const linesOf = new Map<NetId, NetId[]>();
  const edges = new Map<NetId, "rise" | "fall">();
  const inStep = new Map<NetId, readonly NetId[]>();
  for (const { net, timing } of circuit.inputs) {
    if (timing.kind !== "steady around" && timing.kind !== "after") continue;
    if (!free.has(timing.net)) {
      inStep.set(timing.net, [...(inStep.get(timing.net) ?? []), net]);
      continue;
    }
    linesOf.set(timing.net, [...(linesOf.get(timing.net) ?? []), net]);
    if (timing.kind === "steady around") edges.set(timing.net, timing.edge);
  }
  const strobes = [...free.keys()].map((net): Strobe => {
    const edge = edges.get(net);
    return { net, rest: rest.get(net) ?? 0, ...(edge && { edge }) };
  });
  return { strobes, linesOf, rest, inStep };
}

/** The same where an input that is set for a strobe is taken for a strobe itself: a latch's clock that follows a shift clock. */
export function withStrobe(pins: ProcessorPins, net: NetId): ProcessorPins {
  const linesOf = new Map([...pins.linesOf].map(([strobe, lines]) => [strobe, lines.filter((one) => one !== net)]));
  return { ...pins, strobes: [...pins.strobes, { net, rest: pins.rest.get(net) ?? 0 }], linesOf };
}

/** The chip that drives an input in truth: a processor on the board. */
export function driverOf({ inputs }: Circuit, net: NetId): ExternalInput["by"] {
  return inputs.find((input) => input.net === net)?.by;
}

/** The pins of a bus whose clock the board makes: the one strobe is that clock, and all that keeps in step with it its lines. */
export function busPins(pins: ProcessorPins, clock: NetId, beat: Beat): ProcessorPins {
  const lines = pins.inStep.get(clock) ?? [];
  return { ...pins, strobes: [{ net: clock, rest: 0, beat }], linesOf: new Map([[clock, lines]]) };
}
