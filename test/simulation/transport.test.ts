import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { evaluate, parseExpression } from "../../src/parts/index.js";
import { fs, ns } from "../../src/quantity/index.js";
import { type DelayChoice, arcKey, wireKey } from "../../src/simulation/index.js";
import { ANY_TIME, buildCircuit, chipOf, invent, netOf } from "../support/build-circuit.js";
import { type Cell, type RandomCircuit, expressionOf, pinsOf, randomCircuits } from "../support/random-circuit.js";
import { listen, play, start } from "./running.js";

const inverter = (rise: number, fall: number) => {
  const delay = (_from: string, _edge: string, _to: string, change: string) => (change === "rise" ? rise : fall);
  const part = invent({ function: "inverter", inputs: "A", outputs: "Y", drives: { Y: "!A" } }, { delay });
  return buildCircuit({ chips: { U1: [part, "A=IN Y=OUT"] }, inputs: { IN: ANY_TIME } });
};

const threeState = (disable: number, enable: number) => {
  const delay = (_from: string, _edge: string, _to: string, change: string) =>
    change.endsWith("-z") ? disable : enable;
  const drives = { Y: ["A", "!OE#"] } as const;
  const part = invent({ function: "buffer", inputs: "A OE#", outputs: "Y", drives }, { delay });
  return buildCircuit({ chips: { U1: [part, "A=IN OE#=OE# Y=OUT"] }, inputs: { IN: ANY_TIME, "OE#": ANY_TIME } });
};

describe("the rule for pulses", () => {
  it("lets a pulse of any positive width through", () => {
    const simulator = start(inverter(9, 5));
    const out = listen(simulator, "OUT");
    play(simulator, "IN", [
      [100, 1],
      [104, 0],
    ]);
    simulator.run(ns(200));
    expect(out).toEqual([
      [105, "0"],
      [113, "1"],
    ]);
  });

  it("cancels an edge that would not come after the one before it, together with that one", () => {
    const simulator = start(inverter(5, 9));
    const out = listen(simulator, "OUT");
    play(simulator, "IN", [
      [100, 1],
      [104, 0], // would fall at 109 and rise at 109
      [200, 1],
      [204.000001, 0], // falls at 209 and rises 1 fs later
    ]);
    simulator.run(ns(300));
    expect(out).toEqual([
      [209, "0"],
      [209.000001, "1"],
    ]);
    expect(simulator.cancelled).toBe(1);
  });

  it("leaves one change where undriven would end before it begins", () => {
    // Let go at 100 + 20, driven again, with the other level, at 105 + 4: so the level changes at 109, never undriven.
    const simulator = start(threeState(20, 4), { inputs: { IN: 1 } });
    const out = listen(simulator, "OUT");
    play(simulator, "OE#", [
      [100, 1],
      [105, 0],
    ]);
    play(simulator, "IN", [[102, 0]]);
    simulator.run(ns(300));
    expect(out).toEqual([[109, "0"]]);
  });

  it("holds in every circuit as it does when each output is worked out as a whole waveform", () => {
    let compared = 0;
    fc.assert(
      fc.property(randomCircuits(), fc.nat(), (random, salt) => {
        const delays = delaysOf(random, salt);
        const simulator = start(random.circuit, { delays: delays.choice, powerUp: { seed: salt } });
        const stored = (ref: string) => (simulator.valueAt(chipOf(random.circuit, ref), "q") === 1 ? 1 : 0);
        const expected = workOut(random, delays, stored);
        fc.pre(expected !== undefined);
        const seen = new Map(random.cells.map(({ ref }) => [ref, listenInFs(simulator, ref)]));
        for (const input of random.inputs) {
          let level: 0 | 1 = 0;
          for (const change of random.changes) {
            if (change.input !== input) continue;
            level = level ? 0 : 1;
            simulator.drive(netOf(random.circuit, input).id, fs(change.time * UNIT), level);
          }
        }
        simulator.run(fs(100_000 * UNIT));
        expect(seen).toEqual(new Map(random.cells.map(({ ref }) => [ref, expected?.get(ref)?.changes])));
        compared++;
      }),
      { numRuns: 1000 },
    );
    expect(compared).toBe(1000);
  });
});

function listenInFs(simulator: ReturnType<typeof start>, net: string): number[] {
  const changes: number[] = [];
  simulator.observe(netOf(simulator.tables.circuit, net).id, (time, word) => {
    if ((word & 3) <= 1) changes.push(time);
  });
  return changes;
}

// The second way: no queue of events, but one waveform after the other from the inputs on.

/** Small whole numbers, so that pulses of no width come up often; the unit keeps other ties rare. */
const UNIT = 1000;

interface Wave {
  readonly initial: 0 | 1;
  /** Times of changes, each of which turns the level over. */
  readonly changes: readonly number[];
}

interface Delays {
  readonly choice: DelayChoice;
  arc(cell: Cell, pin: string, edge: "rise" | "fall", change: "rise" | "fall"): number;
  wire(from: string, cell: Cell, pin: string): number;
}

/** Delays of 1 to 60 units; those of wires have parts of a unit, so that inputs do not change at the same moment. */
function delaysOf({ inputs, cells }: RandomCircuit, salt: number): Delays {
  const arcs = new Map<string, ReturnType<typeof fs>>();
  const wires = new Map<string, ReturnType<typeof fs>>();
  let state = (salt % 65_521) + 1;
  const next = (below: number) => (state = (state * 48_271) % 2_147_483_647) % below;
  for (const { ref, kind, feeds } of cells) {
    pinsOf(kind).forEach((pin, index) => {
      for (const edge of ["rise", "fall"] as const) {
        for (const change of ["rise", "fall"] as const) {
          arcs.set(arcKey(ref, pin, edge, "Y", change), fs(UNIT * (1 + next(60))));
        }
      }
      const from = feeds[index] ?? "";
      wires.set(
        wireKey(inputs.includes(from) ? "" : from, inputs.includes(from) ? from : "Y", ref, pin),
        fs(next(5000)),
      );
    });
  }
  return {
    choice: { arcs, wires, oscillators: new Map(), otherwise: "typical" },
    arc: ({ ref }, pin, edge, change) => arcs.get(arcKey(ref, pin, edge, "Y", change)) ?? Number.NaN,
    wire: (from, { ref }, pin) =>
      wires.get(wireKey(inputs.includes(from) ? "" : from, inputs.includes(from) ? from : "Y", ref, pin)) ?? Number.NaN,
  };
}

/** Undefined where two inputs of a cell change at one moment: then the rule does not say which goes first. */
function workOut(
  { inputs, cells, changes }: RandomCircuit,
  delays: Delays,
  storedAtFirst: (ref: string) => 0 | 1,
): Map<string, Wave> | undefined {
  const waves = new Map<string, Wave>();
  for (const input of inputs) {
    const own = changes.filter((change) => change.input === input).map((change) => change.time * UNIT);
    waves.set(input, { initial: 0, changes: own });
  }
  for (const cell of cells) {
    const wave = workOutCell(cell, waves, delays, storedAtFirst(cell.ref));
    if (!wave) return undefined;
    waves.set(cell.ref, wave);
  }
  return waves;
}

function workOutCell(
  cell: Cell,
  waves: ReadonlyMap<string, Wave>,
  delays: Delays,
  storedAtFirst: 0 | 1,
): Wave | undefined {
  const pins = pinsOf(cell.kind);
  const levels = new Map<string, 0 | 1>();
  const arrivals = pins.flatMap((pin, index) => {
    const from = cell.feeds[index] ?? "";
    const wave = waves.get(from);
    levels.set(pin, wave?.initial ?? 0);
    return (wave?.changes ?? []).map((time) => ({ time: time + delays.wire(from, cell, pin), pin }));
  });
  arrivals.sort((a, b) => a.time - b.time);
  if (arrivals.some(({ time }, index) => index > 0 && arrivals[index - 1]?.time === time)) return undefined;

  const level = (pin: string): 0 | 1 => levels.get(pin) ?? 0;
  const isGate = expressionOf(cell.kind) !== "";
  let stored = storedAtFirst;
  const value = (risen?: string): 0 | 1 => {
    if (isGate) return evaluate(parseExpression(expressionOf(cell.kind)), level);
    if (cell.kind === "latch" ? level("G") === 1 : risen === "CLK") stored = level("D");
    if (cell.kind === "flip-flop with clear" && level("CLR#") === 0) stored = 0;
    return stored;
  };
  const initial = value();

  const changes: number[] = [];
  let before = initial;
  for (const { time, pin } of arrivals) {
    const now = level(pin) ? 0 : 1;
    levels.set(pin, now);
    const after = value(now ? pin : undefined);
    if (after === before) continue;
    before = after;
    const comes = time + delays.arc(cell, pin, now ? "rise" : "fall", after ? "rise" : "fall");
    const last = changes.at(-1);
    if (last !== undefined && comes <= last) changes.pop();
    else changes.push(comes);
  }
  return { initial, changes };
}
