import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Circuit } from "../../src/circuit/circuit.js";
import { fs, ns, range } from "../../src/quantity/index.js";
import { type DelayChoice, STAND_IN_DELAY, chooseDelays, compileTables } from "../../src/simulation/index.js";
import { ANY_TIME, buildCircuit, gate, invent, oscillator } from "../support/build-circuit.js";
import { circuitOf, randomCircuits } from "../support/random-circuit.js";
import { listen, play, start } from "./running.js";

const board = buildCircuit({
  chips: {
    X1: [oscillator(40, range(0.4, 0.6)), "OUT=OSC"],
    U1: [gate("A B", "!(A & B)", [3, 7, 12]), "A=OSC B=IN Y=N1"],
    U2: [gate("A", "A", [2, 9]), "A=N1 Y=OUT"],
  },
  inputs: { IN: ANY_TIME },
  wires: [0, 4],
});

function delaysOf(choice: DelayChoice) {
  const tables = compileTables(board);
  const { arcs, wires, oscillators } = chooseDelays(tables, choice);
  return { arcs: [...arcs], wires: [...wires], oscillators: [...oscillators.values()] };
}

describe("the choice of delays", () => {
  it("takes typical, earliest or latest everywhere", () => {
    const distinct = (choice: DelayChoice) => [...new Set(delaysOf(choice).arcs)].sort((a, b) => a - b);
    expect(distinct("typical")).toEqual([5.5e6, 7e6]);
    expect(distinct("earliest")).toEqual([2e6, 3e6]);
    expect(distinct("latest")).toEqual([9e6, 12e6]);
    expect(new Set(delaysOf("typical").wires)).toEqual(new Set([2e6]));
    expect(new Set(delaysOf("latest").wires)).toEqual(new Set([4e6]));
    expect(delaysOf("latest").oscillators).toEqual([{ period: 40e6, high: 20e6, start: 20e6 }]);
  });

  it("by seed gives every arc a value of its own within its limits, the same for the same seed", () => {
    const choice = { seed: 5, spread: "even" } as const;
    const { arcs, wires, oscillators } = delaysOf(choice);
    expect(delaysOf(choice)).toEqual({ arcs, wires, oscillators });
    expect(delaysOf({ ...choice, seed: 6 }).arcs).not.toEqual(arcs);
    for (const delay of arcs) expect(delay >= 2e6 && delay <= 12e6 && Number.isInteger(delay)).toBe(true);
    for (const delay of wires) expect(delay >= 0 && delay <= 4e6 && Number.isInteger(delay)).toBe(true);
    expect(new Set(arcs).size).toBe(3 * 2 * 6); // three pairs of pins, two edges, six changes
    const [can] = oscillators;
    expect(can && can.high >= 0.4 * can.period && can.high <= 0.6 * can.period).toBe(true);
  });

  it("by seed can take an end of every range", () => {
    const { arcs } = delaysOf({ seed: 5, spread: "ends" });
    expect(new Set(arcs)).toEqual(new Set([2e6, 3e6, 9e6, 12e6]));
  });

  it("takes the delays that are given, arc by arc", () => {
    const given: DelayChoice = {
      arcs: new Map([["U2 A rise to Y rise", fs(123_456_789)]]),
      wires: new Map([["IN to U1 B", fs(7)]]),
      oscillators: new Map([["X1", { period: fs(50e6), high: fs(10e6), start: fs(1) }]]),
      otherwise: "earliest",
    };
    const { arcs, wires, oscillators } = delaysOf(given);
    expect(new Set(arcs)).toEqual(new Set([2e6, 3e6, 123_456_789]));
    expect(new Set(wires)).toEqual(new Set([0, 7]));
    expect(oscillators).toEqual([{ period: 50e6, high: 10e6, start: 1 }]);
  });

  it("says where a figure is missing and stands in for it, but only where it was needed", () => {
    const part = invent({ function: "gate", inputs: "A B", outputs: "Y", drives: { Y: "A & B" } }, {});
    const circuit = buildCircuit({
      chips: { U1: [part, "A=IN B=IN2 Y=OUT"] },
      inputs: { IN: ANY_TIME, IN2: ANY_TIME },
    });
    const simulator = start(circuit, { inputs: { IN2: 1 } });
    const out = listen(simulator, "OUT");
    play(simulator, "IN", [
      [100, 1],
      [200, 0],
      [300, 1],
    ]);
    simulator.run(ns(250));
    expect(out).toEqual([
      [110, "1"],
      [210, "0"],
    ]);
    expect(simulator.standIns).toEqual([
      { arc: "U1 A rise to Y rise", missing: "A rise to Y rise, not given", delay: STAND_IN_DELAY },
      { arc: "U1 A fall to Y fall", missing: "A fall to Y fall, not given", delay: STAND_IN_DELAY },
    ]);
  });
});

describe("one board", () => {
  const options = { wires: [0, 5] } as const;

  it("does the same whenever it is run, and whatever its nets are called", () => {
    fc.assert(
      fc.property(randomCircuits(options), fc.nat(), (random, seed) => {
        const run = (circuit: Circuit, rename: (name: string) => string) => {
          const simulator = start(circuit, { delays: { seed, spread: "even" }, powerUp: { seed } });
          const seen = random.cells.map(({ ref }) => listen(simulator, rename(ref)));
          random.changes.forEach(({ input, time }, index) => {
            play(simulator, rename(input), [[time, ((index + seed) % 2) as 0 | 1]]);
          });
          simulator.run(ns(2000));
          return seen;
        };
        const plain = run(random.circuit, (name) => name);
        const again = run(random.circuit, (name) => name);
        const harbour = (name: string) => `HARBOUR_${name}`;
        const renamed = run(circuitOf(random, options, harbour), harbour);
        expect(again).toEqual(plain);
        expect(renamed).toEqual(plain);
      }),
      { numRuns: 200 },
    );
  });
});
