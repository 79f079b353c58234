import { describe, expect, it, vi } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { type SimulatorState, VALUE_LETTERS, powerUpBoard } from "../../src/simulation/index.js";
import { openBoard } from "../examples/board.js";
import { buildCircuit, netOf, oscillator } from "../support/build-circuit.js";

vi.setConfig({ testTimeout: 60_000 });

describe("a saved state of a timed board", () => {
  it("goes on change by change as the board did, in the midst of a write", () => {
    const circuit = openBoard("tide-board");
    const delays = { seed: 5, spread: "even" } as const;
    const begun = () => powerUpBoard(circuit, { delays }).simulator;
    const first = begun();
    first.run(ns(500_000));
    // The write begins before the moment of saving and ends after it; its end is on its way then.
    const write = netOf(circuit, "WR#").id;
    first.drive(write, ns(500_010), 0);
    first.drive(write, ns(500_200), 1);
    for (let bit = 0; bit < 15; bit += 2) first.drive(netOf(circuit, `PA${bit}`).id, ns(500_005), 1);
    first.run(ns(500_123.4567));
    const state = first.save();
    if (!state) throw new Error("nothing was saved");
    const changes = (board: ReturnType<typeof begun>) => {
      const list: string[] = [];
      for (const { id, name } of circuit.nets) {
        board.observe(id, (time, word) => list.push(`${time} ${name} ${VALUE_LETTERS[word]}`));
      }
      board.run(ns(900_000));
      return list;
    };
    const [before, written] = [first.outputChanges, first.memories[0]?.writeCount];
    const expected = changes(first);
    expect(expected.length).toBeGreaterThan(10_000);

    const other = begun();
    other.run(ns(77));
    other.restore(state);
    expect([other.now, other.outputChanges]).toEqual([state.now, before]);
    const seen = changes(other);
    expect(seen.length).toBe(expected.length);
    expect(seen.find((change, index) => change !== expected[index])).toBeUndefined();
    expect(other.outputChanges).toBe(first.outputChanges);
    expect(other.memories[0]?.writeCount).toBe((written ?? 0) + 1);
    expect(
      Buffer.compare(other.memories[0]?.contents ?? Buffer.of(0), first.memories[0]?.contents ?? Buffer.of()),
    ).toBe(0);
  });

  it("is not to be had while somebody outside waits to act, nor taken by another circuit's board", () => {
    const { simulator } = powerUpBoard(openBoard("tide-board"), { busy: true });
    simulator.run(ns(20_000));
    expect(simulator.save()).toBeUndefined();
    const small = powerUpBoard(buildCircuit({ chips: { X1: [oscillator(40), "OUT=A"] } })).simulator;
    small.run(ns(100));
    const state = small.save() as SimulatorState;
    expect(() => simulator.restore(state)).toThrow("the state is of another circuit");
    expect(() => small.restore({ ...state, events: [[0, 0, 0]] })).toThrow("the state is of another circuit");
  });
});
