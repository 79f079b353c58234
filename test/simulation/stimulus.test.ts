import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fs, ns } from "../../src/quantity/index.js";
import {
  type Outside,
  Simulator,
  chooseDelays,
  compileTables,
  planInputs,
  record,
} from "../../src/simulation/index.js";
import { buildCircuit, gate, netOf, oscillator } from "../support/build-circuit.js";

const circuit = buildCircuit({
  chips: { X1: [oscillator(300), "OUT=OSC"], U1: [gate("A", "A", 5), "A=OSC Y=SLOT"] },
  inputs: {
    "WR#": { anyTime: { high: 150, low: 100, repeat: 700 } },
    DATA: { steadyAround: ["WR#", "rise"], before: 40, after: 10 },
    SIDE: { steadyAround: ["SLOT", "rise"], before: 40, after: 30 },
    READY: { after: ["SLOT", "fall"], from: 5, to: 60 },
    "RESET#": { powerUpOnly: "low", least: 2000 },
    RESET: { powerUpOnly: "high", least: 500 },
  },
});

/** Runs the inputs for so many nanoseconds; times of the changes of each net, and its values. */
function run(outside: Outside, time: number) {
  const tables = compileTables(circuit);
  const inputs = planInputs(circuit, outside);
  const simulator = new Simulator(tables, chooseDelays(tables, "typical"), { inputs: inputs.first });
  inputs.attach(simulator);
  const tapes = new Map(circuit.nets.map(({ name, id }) => [name, record(simulator, id)]));
  simulator.run(ns(time));
  const edges = (net: string, edge: "rise" | "fall") => {
    const tape = tapes.get(net);
    return [...(tape?.timesFs ?? [])].filter((_, index) => tape?.values[index] === (edge === "rise" ? 1 : 0));
  };
  return { inputs, edges, changes: (net: string) => [...(tapes.get(net)?.timesFs ?? [])], tapes };
}

describe("inputs from outside", () => {
  it("rest in a quiet run, but for the release at power-up", () => {
    const { changes, edges, inputs, tapes } = run({ activity: "quiet" }, 10_000);
    expect(["WR#", "DATA", "SIDE", "READY"].flatMap(changes)).toEqual([]);
    expect([tapes.get("WR#")?.first, tapes.get("DATA")?.first]).toEqual([1, 0]);
    expect(edges("RESET#", "rise")).toEqual([2000e6]);
    expect(edges("RESET", "fall")).toEqual([500e6]);
    expect([inputs.released, inputs.shortened]).toEqual([2000e6, []]);
  });

  it("can be released early, which is said", () => {
    const { edges, inputs } = run({ activity: "quiet", longestReset: ns(600) }, 10_000);
    expect(edges("RESET#", "rise")).toEqual([600e6]);
    expect(edges("RESET", "fall")).toEqual([500e6]);
    expect(inputs.shortened).toEqual([netOf(circuit, "RESET#").id]);
  });

  it("change at random inside their declared times, up to the very limits", () => {
    const shortest = { high: Infinity, low: Infinity, repeat: Infinity };
    fc.assert(
      fc.property(fc.nat(), (seed) => {
        const { edges, changes } = run({ activity: { seed } }, 60_000);
        const [rises, falls] = [edges("WR#", "rise"), edges("WR#", "fall")];
        expect(rises.length).toBeGreaterThan(20);
        const steps = (from: readonly number[], to: readonly number[]) =>
          from.flatMap((time) => (to.find((other) => other > time) ?? NaN) - time).filter((step) => step > 0);
        shortest.low = Math.min(shortest.low, ...steps(falls, rises));
        shortest.high = Math.min(shortest.high, ...steps(rises, falls));
        shortest.repeat = Math.min(shortest.repeat, ...steps(rises, rises), ...steps(falls, falls));
        expect(shortest.low >= 100e6 && shortest.high >= 150e6 && shortest.repeat >= 700e6).toBe(true);

        const inWindow = (times: readonly number[], from: number, to: number) => (change: number) =>
          times.some((time) => change > time + from && change < time + to);
        expect(changes("DATA").length).toBeGreaterThan(5);
        expect(changes("DATA").filter(inWindow(rises, -40e6, 10e6))).toEqual([]);
        expect(changes("SIDE").length).toBeGreaterThan(20);
        expect(changes("SIDE").filter(inWindow(edges("SLOT", "rise"), -40e6, 30e6))).toEqual([]);
        const allowed = inWindow(edges("SLOT", "fall"), 5e6 - 1, 60e6 + 1);
        expect(changes("READY").length).toBeGreaterThan(20);
        expect(changes("READY").filter((change) => !allowed(change))).toEqual([]);
      }),
      { numRuns: 60 },
    );
    expect(shortest).toEqual({ high: 150e6, low: 100e6, repeat: 700e6 });
  });

  it("are the same for the same seed", () => {
    const times = (seed: number) => run({ activity: { seed } }, 20_000).changes("WR#");
    expect(times(3)).toEqual(times(3));
    expect(times(4)).not.toEqual(times(3));
  });

  it("are refused in the past, and where nothing comes from outside", () => {
    const tables = compileTables(circuit);
    const simulator = new Simulator(tables, chooseDelays(tables, "typical"));
    simulator.run(ns(100));
    expect(() => simulator.drive(netOf(circuit, "DATA").id, fs(99e6), 1)).toThrow(
      "99000000 fs is before now, 100000000 fs",
    );
    expect(() => simulator.drive(netOf(circuit, "SLOT").id, ns(200), 1)).toThrow("SLOT is no input from outside");
  });
});
