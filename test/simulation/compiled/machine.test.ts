import { describe, expect, it, vi } from "vitest";
import type { Circuit } from "../../../src/circuit/circuit.js";
import { Machine, type MachineOptions } from "../../../src/simulation/compiled/index.js";
import { SHORT_RESET, UNKNOWN, VALUE_LETTERS, planInputs } from "../../../src/simulation/index.js";
import { openBoard } from "../../examples/board.js";
import { ANY_TIME, buildCircuit, chipOf, known, netOf, oscillator } from "../../support/build-circuit.js";

vi.setConfig({ testTimeout: 60_000 });

const MS = 1e12;

function powerUp(circuit: Circuit, options: MachineOptions = {}): Machine {
  const inputs = planInputs(circuit, { activity: "quiet", longestReset: SHORT_RESET });
  const machine = new Machine(circuit, { powerUp: { seed: 1 }, inputs: inputs.first, ...options });
  for (const { net, time, value } of inputs.releases) machine.drive(net, time, value);
  return machine;
}

function letters(circuit: Circuit, machine: Machine): string {
  return circuit.nets.map(({ id }) => VALUE_LETTERS[machine.valueOf(id)]).join("");
}

describe("a compiled circuit", () => {
  it("goes on from a saved state as it did before, in rounds again at once", () => {
    const circuit = openBoard("tide-board");
    const chip = chipOf(circuit, "U25");
    const contents = new Map([[chip, Uint8Array.from({ length: 32768 }, (_, n) => n)]]);
    const machine = powerUp(circuit, { contents, roundsAfter: 500 });
    machine.run(1.234 * MS);
    const state = machine.save();
    machine.run(2.5 * MS);
    const [first, edges] = [letters(circuit, machine), machine.edgesInRounds];
    machine.load(chip, new Uint8Array(32768));
    machine.restore(state);
    expect(machine.now).toBe(1.234 * MS);
    expect(machine.contentsOf(chip)).toEqual(contents.get(chip));
    machine.run(2.5 * MS);
    expect(letters(circuit, machine)).toBe(first);
    expect(machine.edgesInRounds).toBeGreaterThan(1.5 * edges - 20_000);
    // Another machine of the same circuit goes on from it too, edge by edge.
    const other = powerUp(circuit, { contents, roundsAfter: Infinity });
    other.restore(state);
    other.run(2.5 * MS);
    expect(letters(circuit, other)).toBe(first);
    const small = new Machine(buildCircuit({ chips: { X1: [oscillator(40), "OUT=A"] } }));
    expect(() => small.restore(state)).toThrow("the state is of another circuit");
  });

  it("comes up with another state for another seed, and with the same one for the same", () => {
    const circuit = openBoard("tide-board");
    const at = (seed: number) => letters(circuit, new Machine(circuit, { powerUp: { seed } }));
    expect(at(3)).toBe(at(3));
    expect(new Set([1, 2, 3, 4, 5].map(at)).size).toBe(5);
  });

  it("follows what is unknown at power-up until the reset and the clock have made it known", () => {
    // This board's dot clock comes from its oscillator: nothing is divided whose first state would be unknown for ever.
    const circuit = openBoard("tide-board-wide");
    const contents = new Map([[chipOf(circuit, "U25"), new Uint8Array(32768)]]);
    const machine = powerUp(circuit, { powerUp: "unknown", contents });
    const valueOf = (net: string) => machine.valueOf(netOf(circuit, net).id);
    expect(machine.followsUnknown).toBe(true);
    expect(valueOf("LINE5")).toBe(UNKNOWN);
    machine.run(0.1 * MS);
    expect(valueOf("LINE5")).toBe(0);
    // Nobody has written yet, so the processor's latches may hold anything.
    expect(machine.valueAt(chipOf(circuit, "U20"), "q1")).toBe(UNKNOWN);
    machine.drive(netOf(circuit, "WR#").id, 0.11 * MS, 0);
    machine.drive(netOf(circuit, "WR#").id, 0.12 * MS, 1);
    machine.run(0.2 * MS);
    expect(machine.valueAt(chipOf(circuit, "U20"), "q1")).toBe(0);
    // The request turns over from whatever it was.
    expect(valueOf("REQUEST")).toBe(UNKNOWN);
    expect(machine.followsUnknown).toBe(true);
  });

  it("leaves a register unknown whose clock may or may not have risen, unless it would take what it holds", () => {
    const circuit = buildCircuit({
      chips: {
        U1: [known("74"), "1CLK=CK 1D=low 1CLR#=high 1PRE#=high 1Q=A 2CLK=CK 2D=high 2CLR#=high 2PRE#=high 2Q=B"],
      },
      inputs: { CK: ANY_TIME },
    });
    const machine = new Machine(circuit, { powerUp: "low" });
    machine.drive(netOf(circuit, "CK").id, 1, UNKNOWN);
    machine.run(2);
    expect([..."AB"].map((net) => machine.valueOf(netOf(circuit, net).id))).toEqual([0, UNKNOWN]);
    expect(machine.doubts).toEqual([]);
  });

  it("counts writes, and takes bytes into its memory from any address on", () => {
    const circuit = openBoard("tide-board");
    const chip = chipOf(circuit, "U25");
    const machine = powerUp(circuit, { contents: new Map([[chip, new Uint8Array(32768)]]) });
    machine.load(chip, Uint8Array.of(1, 2, 3), 0x1234);
    expect([...machine.contentsOf(chip).slice(0x1233, 0x1238)]).toEqual([0, 1, 2, 3, 0]);
    expect(() => machine.load(chip, new Uint8Array(2), 32767)).toThrow(
      "U25 holds 32768 bytes; 2 from 32767 on do not fit",
    );
    expect(() => machine.load(chipOf(circuit, "U1"), new Uint8Array(1))).toThrow("U1 is no memory");
    expect(() => machine.drive(netOf(circuit, "DOT").id, 0, 1)).toThrow("DOT is no input from outside");
    machine.run(1);
    expect(() => machine.drive(netOf(circuit, "WR#").id, 0, 1)).toThrow("0 fs is before now, 1 fs");
  });

  it("is driven by several oscillators, each in its own time", () => {
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(10), "OUT=C1"],
        X2: [oscillator(14), "OUT=C2"],
        U1: [known("393"), "1CLK=C1 1CLR=low 1QA=A0 1QB=A1 1QC=A2 1QD=A3 2CLK=C2 2CLR=low 2QA=B0 2QB=B1 2QC=B2 2QD=B3"],
      },
    });
    const machine = new Machine(circuit, { powerUp: "low" });
    const count = (letter: string) =>
      [0, 1, 2, 3].reduce((sum, bit) => sum + (machine.valueOf(netOf(circuit, `${letter}${bit}`).id) << bit), 0);
    machine.run(100e6);
    // Falls at 10, 20 .. 100 ns and at 14, 28 .. 98 ns.
    expect([count("A"), count("B")]).toEqual([10, 7]);
    // One oscillator runs at another period by choice.
    const faster = new Machine(circuit, {
      powerUp: "low",
      oscillators: new Map([["X2", { period: 7e6, high: 3e6, start: 4e6 } as never]]),
    });
    faster.run(50e6);
    // Falls at 7, 14 .. 49 ns.
    expect(faster.valueOf(netOf(circuit, "B0").id) + 2 * faster.valueOf(netOf(circuit, "B1").id)).toBe(7 & 3);
  });
});
