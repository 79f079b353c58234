import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import type { Circuit } from "../../../src/circuit/circuit.js";
import { Machine, type MachineOptions } from "../../../src/simulation/compiled/index.js";
import { SHORT_RESET, VALUE_LETTERS, type Value, planInputs } from "../../../src/simulation/index.js";
import { randomBytes, randomFor } from "../../../src/simulation/random.js";
import { openBoard } from "../../examples/board.js";
import { circuitOfSketch, printSketch } from "../../support/clocked-circuit.js";
import { slowed } from "../../support/compiled-agreement.js";
import { randomSketch } from "../../support/random-clocked-circuit.js";

vi.setConfig({ testTimeout: 120_000 });

/** A frame of 800 x 525 dots at 25.175 MHz, in femtoseconds. */
const FRAME = Math.round((420_000 * 1e9) / 25.175);

/** All that a machine holds, as text, nets first. */
function holds(circuit: Circuit, machine: Machine): string {
  const nets = circuit.nets.map(({ name, id }) => `${name}=${VALUE_LETTERS[machine.valueOf(id)]}`);
  const bits = circuit.chips.flatMap((chip) =>
    chip.part.behaviour.storage.map(({ name }) => {
      const value = machine.valueAt(chip, name);
      return `${chip.ref}.${name}=${value === undefined ? "-" : VALUE_LETTERS[value]}`;
    }),
  );
  return [...nets, ...bits].join(" ");
}

interface Write {
  readonly time: number;
  readonly address: number;
  readonly data: number;
}

/** Puts a byte out, pulses WR#, and lets the byte stand. */
function write(circuit: Circuit, machine: Machine, { time, address, data }: Write): void {
  const drive = (name: string, at: number, value: Value) => {
    const net = circuit.nets.find((one) => one.name === name);
    if (!net) throw new RangeError(`no net ${name}`);
    machine.drive(net.id, at, value);
  };
  const bit = (word: number, n: number) => ((word >> n) & 1) as Value;
  for (let n = 0; n < 15; n++) drive(`PA${n}`, time, bit(address, n));
  for (let n = 0; n < 8; n++) drive(`PD${n}`, time, bit(data, n));
  drive("WR#", time + 50e6, 0);
  drive("WR#", time + 160e6, 1);
}

function powerUp(circuit: Circuit, options: MachineOptions): Machine {
  const inputs = planInputs(circuit, { activity: "quiet", longestReset: SHORT_RESET });
  const contents = new Map(
    circuit.chips
      .filter(({ part }) => part.behaviour.memory)
      .map((chip) => [chip, randomBytes(2 ** (chip.part.behaviour.memory?.address.length ?? 0), "memory", 1)]),
  );
  const machine = new Machine(circuit, { powerUp: { seed: 1 }, inputs: inputs.first, contents, ...options });
  for (const { net, time, value } of inputs.releases) machine.drive(net, time, value);
  return machine;
}

describe("a circuit taken in rounds", () => {
  it.each(["tide-board", "tide-board-wide", "tide-board-wide-fast"])(
    "does what it does edge by edge: %s while its memory is written",
    (name) => {
      const circuit = openBoard(name);
      const [memory] = circuit.chips.filter(({ part }) => part.behaviour.memory);
      if (!memory || !circuit.picture) throw new Error("no memory or picture");
      const writes = Array.from({ length: 80 }, (_, index): Write => {
        const luck = (what: string) => randomFor(`${what} ${index}`, 1);
        const time = 2e12 + index * 25e9 + Math.floor(luck("time") * 20e9);
        return { time, address: Math.floor(luck("address") * 32768), data: Math.floor(luck("data") * 256) };
      });
      const machines = [1000, Infinity].map((roundsAfter) => {
        const machine = powerUp(circuit, { roundsAfter });
        const recording = machine.record();
        for (const one of writes) write(circuit, machine, one);
        return { machine, recording };
      });
      const [fast, slow] = machines;
      if (!fast || !slow) throw new Error("no machines");
      // Times all over a round, and after each write as it may be half done.
      for (const time of [1.5e12, 2e12, ...writes.map((one) => one.time + 700e6), 4.2e12]) {
        fast.machine.run(time);
        slow.machine.run(time);
        expect(holds(circuit, fast.machine)).toBe(holds(circuit, slow.machine));
      }
      for (const { machine } of machines) machine.run(4.2e12 + FRAME / 8);
      for (const net of fast.recording.nets) {
        expect(fast.recording.waveOf(net)).toEqual(slow.recording.waveOf(net));
      }
      expect(fast.machine.contentsOf(memory)).toEqual(slow.machine.contentsOf(memory));
      expect(fast.machine.writesTo(memory)).toBe(slow.machine.writesTo(memory));
      expect(fast.machine.writesTo(memory)).toBeGreaterThanOrEqual(writes.length);
      for (const one of writes.slice(-20)) expect(fast.machine.contentsOf(memory)[one.address]).toBe(one.data);
      expect(fast.machine.edgesInRounds).toBeGreaterThan(0.8 * slow.machine.steps);
      expect(slow.machine.edgesInRounds).toBe(0);
      expect([...fast.machine.doubts, ...slow.machine.doubts]).toEqual([]);
    },
  );

  it("does what it does edge by edge: random circuits, some with inputs from outside", () => {
    const tally = { circuits: 0, rounds: 0, edges: 0, edgesInRounds: 0, changes: 0 };
    const seeds = fc.noBias(fc.noShrink(fc.integer({ min: 0, max: 9_999_999 })));
    const property = fc.property(seeds, fc.boolean(), (seed, inputs) => {
      const sketch = slowed(randomSketch(seed, { inputs }), 8);
      const circuit = circuitOfSketch(sketch);
      const period = sketch.period * 1e6;
      const make = (roundsAfter: number) => {
        const machine = new Machine(circuit, { powerUp: "low", roundsAfter });
        circuit.inputs.forEach(({ net }, index) => {
          for (let n = 0; n < 12; n++) {
            const at = Math.floor(period * (10 + 30 * n + 29 * randomFor(`time ${index} ${n}`, seed)));
            machine.drive(net, at, randomFor(`level ${index} ${n}`, seed) < 0.5 ? 0 : 1);
          }
        });
        return machine;
      };
      const [fast, slow] = [make(6), make(Infinity)];
      let before = "";
      for (let n = 1; n <= 40; n++) {
        const time = Math.floor(period * (10 * n + 10 * randomFor(`look ${n}`, seed)));
        fast.run(time);
        slow.run(time);
        const [one, other] = [holds(circuit, fast), holds(circuit, slow)];
        if (one !== other) throw new Error(`at ${time} fs: ${one}\nedge by edge: ${other}\n${printSketch(sketch)}`);
        tally.changes += one === before ? 0 : 1;
        before = one;
      }
      expect(fast.doubts).toEqual(slow.doubts);
      tally.circuits++;
      tally.rounds += fast.edgesInRounds > 0 ? 1 : 0;
      tally.edges += slow.steps;
      tally.edgesInRounds += fast.edgesInRounds;
    });
    fc.assert(property, { seed: 1, numRuns: 80 });
    console.log("random circuits in rounds:", JSON.stringify(tally));
    expect(tally.rounds).toBeGreaterThan(35);
    expect(tally.edgesInRounds).toBeGreaterThan(0.3 * tally.edges);
    expect(tally.changes).toBeGreaterThan(1500);
  });

  it("is taken edge by edge again while its reset is pressed, and in rounds made anew after that", () => {
    const circuit = openBoard("tide-board");
    const reset = circuit.nets.find(({ name }) => name === "RESET#");
    const line = circuit.nets.find(({ name }) => name === "LINE5");
    if (!reset || !line) throw new Error("no reset or line");
    const machine = powerUp(circuit, { roundsAfter: 4000 });
    machine.run(4e12);
    const before = machine.edgesInRounds;
    expect(before).toBeGreaterThan(0);
    expect(machine.valueOf(line.id)).toBe(1);
    machine.drive(reset.id, 4.1e12, 0);
    machine.drive(reset.id, 4.2e12, 1);
    machine.run(4.15e12);
    expect(machine.valueOf(line.id)).toBe(0);
    const pressed = machine.edgesInRounds;
    machine.run(4.2e12);
    expect(machine.edgesInRounds).toBe(pressed);
    machine.run(6e12);
    expect(machine.edgesInRounds).toBeGreaterThan(pressed);
    // 32 lines of 31.8 us each have line bit 5 low, the next 32 high.
    machine.run(4.2e12 + 20 * 31.8e9);
    expect(machine.valueOf(line.id)).toBe(1);
  });
});
