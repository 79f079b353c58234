import { describe, expect, it } from "vitest";
import { type Board, boardOf } from "../../src/bench/board/board.js";
import { type Edit, variantOf } from "../../src/bench/board/variant.js";
import { groupOf } from "../../src/bench/lanes/group.js";
import { LaneMachine } from "../../src/bench/lanes/lane-machine.js";
import type { Circuit } from "../../src/circuit/circuit.js";
import { faultBenchOf, simulateEdits } from "../../src/bench/index.js";
import { hasLane } from "../../src/bench/lanes/lane-mask.js";
import { behaviourOf, packageOf } from "../../src/parts/index.js";
import { Machine } from "../../src/simulation/index.js";
import { type ChaserWires, chaser } from "./chaser.js";

/** Edges of the oscillator: 1 MHz, so that an edge comes every half microsecond. */
const EDGES = 2000;
const EDGE_FS = 5e8;
const NETS = ["HALF", "Q0", "Q1", "Q2", "Q3", "BOTH", "LATE", "SHARED", "SEEN", "LAMP"];

/** Rises of some nets in so many edges after as many, by the compiled simulation of one circuit. */
function compiledRises(circuit: Circuit): Record<string, number> {
  const machine = new Machine(circuit, { powerUp: { seed: 3 } });
  const ids = new Map(NETS.map((name) => [name, circuit.nets.find((net) => net.name === name)?.id]));
  const last = new Map<string, number>();
  const rises: Record<string, number> = Object.fromEntries(NETS.map((name) => [name, 0]));
  for (let edge = 1; edge <= 2 * EDGES; edge++) {
    machine.run(Math.round((edge - 0.5) * EDGE_FS));
    for (const [name, id] of ids) {
      if (id === undefined) continue;
      const value = machine.valueOf(id);
      if (edge > EDGES && last.get(name) === 0 && value === 1) rises[name] = (rises[name] ?? 0) + 1;
      if (value === 0 || value === 1) last.set(name, value);
    }
  }
  return rises;
}

/** The same by boards side by side: one with each edit, both ways. */
function laneRises(board: Board, edits: readonly Edit[]): Record<string, number>[][] {
  const group = groupOf(board, [variantOf(board, {}), ...edits.map((edit) => variantOf(board, edit))]);
  const machine = new LaneMachine(group, { slowNodes: new Set(), tapSamples: 0, seed: 1 });
  machine.run(EDGES);
  machine.count(7);
  machine.run(EDGES);
  return edits.map((_, index) =>
    [0, 1].map((way) => {
      const lane = 2 * (index + 1) + way;
      return Object.fromEntries(
        NETS.map((name) => [name, machine.counted(board.nodeNames.indexOf(name), "rises")[lane] ?? 0]),
      );
    }),
  );
}

const bench = faultBenchOf(chaser());
const board = boardOf(chaser());
const pin = (name: string) => {
  const found = board.find(name);
  if (!found) throw new Error(`no pin ${name}`);
  return found.id;
};
const wireTo = (name: string) => board.wires.find(({ to }) => to === pin(name))?.id ?? -1;
/** Takes the wire out of a pin and puts the pin on another pin, or on a rail. */
const rewired = (name: string, to: string): Edit => ({
  cut: [wireTo(name)],
  join: [[pin(name), to === "low" || to === "high" ? to : pin(to)]],
});

describe("boards with faults, side by side", () => {
  const counter = behaviourOf("163");
  const shape = packageOf("163");
  if (!counter || !shape) throw new Error("no 163");
  const cases: readonly (readonly [what: string, wires: ChaserWires, edit: Edit])[] = [
    ["no fault", {}, {}],
    ["a counter's clock on the oscillator", { counterClock: "OSC" }, rewired("U2.CLK", "U1.1CLK")],
    ["a counter's enable low", { enable: "low" }, rewired("U2.ENP", "low")],
    ["a gate on the bit above", { secondAnd: "Q2" }, rewired("U3.1B", "U3.2A")],
    ["a gate's input on its other one", { firstAnd: "Q1" }, rewired("U3.1A", "U3.1B")],
    ["a gate held high", { select: "high" }, rewired("U3.2B", "high")],
    [
      "a counter with a synchronous clear",
      { counter: "74HC163" },
      { replace: [{ chipIndex: 2, number: "74HC163", behaviour: counter, package: shape }] },
    ],
  ];
  const together = laneRises(
    board,
    cases.map(([, , edit]) => edit),
  );

  it.each(cases.map(([what, wires], index) => ({ what, wires, index })))(
    "do with $what what the compiled simulation does of a circuit wired like that",
    ({ wires, index }) => {
      const alone = compiledRises(chaser(wires));
      // The two may count one rise more or less where the stretch that is looked at begins in another phase.
      for (const way of together[index] ?? []) {
        for (const name of NETS) expect(Math.abs((way[name] ?? 0) - (alone[name] ?? 0))).toBeLessThanOrEqual(1);
      }
    },
  );

  it("split a net in two where a wire of its chain is missing", () => {
    // Q1 goes from U2 to U3 alone: without the wire the gate's input is open, low in the one way and high in the other.
    const [ways] = laneRises(board, [{ cut: [wireTo("U3.1B")] }]);
    expect(ways?.[0]?.["BOTH"]).toBe(0);
    expect(ways?.[1]?.["BOTH"]).toBe(ways?.[1]?.["Q0"]);
  });

  it("let the two ways differ where outputs fight", () => {
    const [ways] = laneRises(board, [{ join: [[pin("U2.QA"), pin("U2.QB")]] }]);
    // Q0 and Q1 joined: low wins (and) or high wins (or); either way a rise for every four clocks.
    expect(ways?.[0]?.["Q0"]).toBe(ways?.[1]?.["Q0"]);
    expect(ways?.[0]?.["BOTH"]).toBe(ways?.[0]?.["Q0"]);
  });

  it("stand still where a chip is missing", () => {
    const [ways] = laneRises(board, [{ dead: [1] }]);
    expect(ways?.map((way) => way["Q0"])).toEqual([0, 0]);
  });

  it("swing in both ways where an inverter drives itself, quick or slow", () => {
    const loops = [1, 2, 3, 4, 5, 6].map((one): Edit => rewired(`U6.${one}A`, `U6.${one}Y`));
    const group = groupOf(board, [variantOf(board, {}), ...loops.map((edit) => variantOf(board, edit))]);
    const machine = new LaneMachine(group, { slowNodes: new Set(), tapSamples: 0, seed: 1 });
    machine.run(EDGES);
    loops.forEach((_, index) => {
      const node = board.pins[pin(`U6.${index + 1}Y`)]?.node ?? -1;
      const rings = [2, 3].map((way) => hasLane(machine.ringing(node), 2 * index + way));
      expect([index + 1, ...rings]).toEqual([index + 1, true, true]);
    });
  });

  it("do the same whichever boards stand beside them, in whatever order", () => {
    const { faults } = bench;
    const edits = faults.map(({ edit }) => edit);
    const forward = simulateEdits(bench, edits);
    const backward = [...simulateEdits(bench, [...edits].reverse())].reverse();
    const differing = faults.filter((_, index) => {
      const [one, other] = [forward[index], backward[index]].map((found) => Array.from(found?.readings.numbers ?? []));
      return JSON.stringify(one) !== JSON.stringify(other);
    });
    expect(differing.map(({ text }) => text)).toEqual([]);
  });
});
