import { describe, expect, it } from "vitest";
import { type DelayChoice, type Value, Simulator, chooseDelays, compileTables } from "../../src/simulation/index.js";
import { type Circuit } from "../../src/circuit/circuit.js";
import { ns } from "../../src/quantity/index.js";
import { ANY_TIME, buildCircuit, gate, netOf } from "../support/build-circuit.js";

/** Changes of a net from now on, as pairs of nanoseconds and value. */
function listen(simulator: Simulator, net: string): [time: number, value: number][] {
  const changes: [number, number][] = [];
  const { id } = netOf(simulator.tables.circuit, net);
  simulator.observe(id, (time, word) => changes.push([time / 1e6, word & 3]));
  return changes;
}

function start(circuit: Circuit, choice: DelayChoice = "typical", inputs: Readonly<Record<string, Value>> = {}) {
  const tables = compileTables(circuit);
  return new Simulator(tables, chooseDelays(tables, choice), {
    inputs: new Map(Object.entries(inputs).map(([name, value]) => [netOf(circuit, name).id, value])),
  });
}

function play(simulator: Simulator, net: string, changes: readonly (readonly [time: number, value: Value])[]): void {
  for (const [time, value] of changes) simulator.drive(netOf(simulator.tables.circuit, net).id, ns(time), value);
}

const inverter = (rise: number, fall: number) =>
  buildCircuit({
    chips: { U1: [gateWith((change) => (change === "rise" ? rise : fall)), "A=IN Y=OUT"] },
    inputs: { IN: ANY_TIME },
  });

function gateWith(delay: (change: string) => number) {
  const part = gate("A", "!A", 1);
  return {
    ...part,
    figures: {
      ...part.figures,
      delay: (
        from: string,
        edge: "rise" | "fall",
        to: string,
        change: "rise" | "fall" | "z-to-high" | "z-to-low" | "high-to-z" | "low-to-z",
      ) => {
        const figure = part.figures.delay(from, edge, to, change);
        const time = ns(delay(change));
        return {
          ...figure,
          min: time,
          typical: time,
          max: time,
          minimumIs: "stated" as const,
          source: { publisher: "none", document: "made for a test", fromMemory: false },
        };
      },
    },
  };
}

describe("the rule for pulses", () => {
  it("lets a pulse of any positive width through", () => {
    const simulator = start(inverter(9, 5));
    const out = listen(simulator, "OUT");
    play(simulator, "IN", [
      [100, 1],
      [104.000001, 0],
    ]);
    simulator.run(ns(200));
    // Falls 5 ns after the rise, rises 9 ns after the fall.
    expect(out).toEqual([
      [105, 0],
      [113.000001, 1],
    ]);
  });

  it("cancels an edge that would not come after the one before it, together with that one", () => {
    const simulator = start(inverter(5, 9));
    const out = listen(simulator, "OUT");
    play(simulator, "IN", [
      [100, 1],
      [104, 0],
      [200, 1],
      [204.000001, 0],
    ]);
    simulator.run(ns(300));
    // The first pulse would fall at 109 and rise at 109. The second falls at 209, rises 1 fs later.
    expect(out).toEqual([
      [209, 0],
      [209.000001, 1],
    ]);
    expect(simulator.cancelled).toBe(1);
  });
});
