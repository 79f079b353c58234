import { describe, expect, it } from "vitest";
import { latch } from "../../src/parts/behaviours/define.js";
import { parseExpression } from "../../src/parts/index.js";
import type { Circuit } from "../../src/circuit/circuit.js";
import { ns } from "../../src/quantity/index.js";
import { type Value, Watch } from "../../src/simulation/index.js";
import { ANY_TIME, buildCircuit, invent, known } from "../support/build-circuit.js";
import { letterOf, play, start } from "./running.js";

type Changes = Readonly<Record<string, readonly (readonly [time: number, value: Value])[]>>;

/** Violations in short: `set-up U1 D CLK 3 of 10 at 97`, times in nanoseconds. */
function watch(circuit: Circuit, inputs: Readonly<Record<string, Value>>, changes: Changes): readonly string[] {
  const simulator = start(circuit, { inputs, powerUp: { seed: 1 } });
  const watching = new Watch(simulator);
  for (const [net, values] of Object.entries(changes)) play(simulator, net, values);
  simulator.run(ns(2000));
  return watching.violations.map(({ rule, chip, pin, reference, required, actual, worstAt, count }) =>
    [
      `${rule} ${chip.ref} ${pin}${reference === undefined ? "" : ` ${reference}`}`,
      `${actual / 1e6} of ${required.time / 1e6} at ${worstAt / 1e6}${count > 1 ? `, ${count} times` : ""}`,
    ].join(" "),
  );
}

const inputs = (...names: string[]) => Object.fromEntries(names.map((name) => [name, ANY_TIME]));
const figures = { delay: 10, setUp: 10, hold: 5, width: 20, period: 50, recovery: 15 };

describe("watching a clock that takes as long to the second flip-flop as it takes through the first", () => {
  // A hold time of 0 allows the data to change at the very edge.
  it("finds nothing where the hold time is 0, and the second takes what the first held before", () => {
    const circuit = buildCircuit({
      chips: {
        U1: [
          known("74", { ...figures, delay: 1, hold: 0 }),
          "1D=D 1CLK=CLK 1Q=Q 2D=Q 2CLK=CLK 2Q=R 1CLR#=high 1PRE#=high 2CLR#=high 2PRE#=high",
        ],
      },
      inputs: inputs("D", "CLK"),
      wires: [0, 1],
    });
    const wires = new Map([
      ["CLK to U1 1CLK", ns(0)],
      ["CLK to U1 2CLK", ns(1)],
      ["U1 1Q to U1 2D", ns(0)],
    ]);
    const delays = { arcs: new Map(), wires, oscillators: new Map(), otherwise: "typical" as const };
    const simulator = start(circuit, { inputs: { D: 1, CLK: 0 }, powerUp: "low", delays });
    const watching = new Watch(simulator);
    play(simulator, "CLK", [
      [100, 1],
      [150, 0],
    ]);
    simulator.run(ns(140));
    expect([letterOf(simulator, "Q"), letterOf(simulator, "R")]).toEqual(["1", "0"]);
    expect(watching.violations).toEqual([]);
  });
});

describe("watching a flip-flop", () => {
  const circuit = buildCircuit({
    chips: { U1: [known("74", figures), "1D=D 1CLK=CLK 1CLR#=CLR# 1PRE#=high 1Q=Q"] },
    inputs: inputs("D", "CLK", "CLR#"),
  });
  const idle = { "CLR#": 1 } as const;
  const pulse = (time: number, width = 25) =>
    [
      [time, 1],
      [time + width, 0],
    ] as const;

  it("finds nothing where every time is just long enough", () => {
    const changes = {
      D: [
        [90, 1],
        [105, 0],
      ],
      CLK: [...pulse(100), ...pulse(150)],
    } as const;
    expect(watch(circuit, idle, changes)).toEqual([]);
  });

  it("finds data that come late or go early, the worst of several", () => {
    const changes = {
      D: [
        [91, 1],
        [193, 0],
        [304.999999, 1],
      ],
      CLK: [...pulse(100), ...pulse(200), ...pulse(300)],
    } as const;
    expect(watch(circuit, idle, changes)).toEqual([
      "set-up U1 1D 1CLK 7 of 10 at 200, 2 times",
      "hold U1 1D 1CLK 4.999999 of 5 at 304.999999",
    ]);
  });

  it("does not ask for data while the clear holds the flip-flop", () => {
    const changes = { D: [[99, 1]], CLK: pulse(100) } as const;
    expect(watch(circuit, { "CLR#": 0 }, changes)).toEqual([]);
  });

  it("finds narrow pulses of the clock and the clear, and clocks too close together", () => {
    const changes = {
      CLK: [...pulse(100, 19), ...pulse(149, 20)],
      "CLR#": [
        [300, 0],
        [310, 1],
      ],
    } as const;
    expect(watch(circuit, idle, changes)).toEqual([
      "pulse width U1 1CLK 19 of 20 at 119",
      "clock period U1 1CLK 49 of 50 at 149",
      "pulse width U1 1CLR# 10 of 20 at 310",
    ]);
  });

  it("finds a clock too soon after the clear's release", () => {
    const changes = { "CLR#": [[100, 1]], CLK: pulse(110) } as const;
    expect(watch(circuit, { "CLR#": 0 }, changes)).toEqual(["recovery U1 1CLR# 1CLK 10 of 15 at 110"]);
  });

  it("asks nothing of a release after which the clear has come again", () => {
    const changes = {
      "CLR#": [
        [100, 1],
        [105, 0],
        [200, 1],
      ],
      CLK: pulse(110),
    } as const;
    const found = watch(circuit, { "CLR#": 0 }, changes);
    expect(found.filter((one) => one.startsWith("recovery"))).toEqual([]);
  });

  it("asks nothing of the clear's release while the preset holds the flip-flop", () => {
    const held = buildCircuit({
      chips: { U1: [known("74", figures), "1D=D 1CLK=CLK 1CLR#=CLR# 1PRE#=PRE# 1Q=Q"] },
      inputs: inputs("D", "CLK", "CLR#", "PRE#"),
    });
    const changes = { "CLR#": [[100, 1]], CLK: pulse(110) } as const;
    expect(watch(held, { "CLR#": 0, "PRE#": 0 }, changes)).toEqual([]);
    expect(watch(held, { "CLR#": 0, "PRE#": 1 }, changes)).toEqual(["recovery U1 1CLR# 1CLK 10 of 15 at 110"]);
  });
});

describe("watching other chips", () => {
  it("asks for a counter's data only where it loads", () => {
    const circuit = buildCircuit({
      chips: { U1: [known("163", figures), "CLK=CLK CLR#=high LOAD#=LOAD# ENP=high ENT=high A..D=DATA QA=Q"] },
      inputs: inputs("CLK", "LOAD#", "DATA"),
    });
    const changes = {
      DATA: [
        [99, 1],
        [199, 0],
      ],
      CLK: [
        [100, 1],
        [125, 0],
        [200, 1],
        [225, 0],
      ],
      "LOAD#": [[150, 0]],
    } as const;
    expect(watch(circuit, { "LOAD#": 1 }, changes)).toEqual(
      ["A", "B", "C", "D"].map((pin) => `set-up U1 ${pin} CLK 1 of 10 at 200`),
    );
  });

  it("asks a latch's data to be steady as it closes", () => {
    const part = invent(
      { function: "latch", inputs: "D G", outputs: "Q", storage: [latch("q", "G", "D")], drives: { Q: "q" } },
      figures,
    );
    const circuit = buildCircuit({ chips: { U1: [part, "D=D G=G Q=Q"] }, inputs: inputs("D", "G") });
    const changes = {
      G: [
        [100, 1],
        [150, 0],
      ],
      D: [
        [99, 1],
        [120, 0],
        [145, 1],
        [152, 0],
      ],
    } as const;
    expect(watch(circuit, {}, changes)).toEqual(["set-up U1 D G 5 of 10 at 150", "hold U1 D G 2 of 5 at 152"]);
  });

  it("tells data that may come at any time from data that should not", () => {
    const circuit = buildCircuit({
      chips: {
        U1: [known("74", figures), "1D=ASK 1CLK=CLK 1CLR#=high 1PRE#=high 1Q=S1"],
        U2: [known("74", figures), "1D=S1 1CLK=CLK 1CLR#=high 1PRE#=high 1Q=S2"],
      },
      inputs: { ASK: ANY_TIME, CLK: { after: ["ASK", "rise"], from: 0, to: 1 } },
    });
    const simulator = start(circuit, { powerUp: { seed: 1 } });
    const watching = new Watch(simulator);
    play(simulator, "ASK", [[99, 1]]);
    play(simulator, "CLK", [
      [100, 1],
      [125, 0],
      [150, 1],
    ]);
    simulator.run(ns(300));
    expect(watching.violations.map(({ chip, asynchronous }) => [chip.ref, asynchronous])).toEqual([["U1", true]]);
  });

  it("measures a memory's writes", () => {
    const part = invent(
      {
        function: "2x1",
        inputs: "A0 CE# OE# WE#",
        inOuts: "IO0",
        memory: {
          address: ["A0"],
          data: ["IO0"],
          read: parseExpression("!CE# & !OE# & WE#"),
          write: parseExpression("!CE# & !WE#"),
        },
      },
      { delay: 30, width: 40, memory: { tAS: 10, tAW: 60, tDW: 30, tDH: 5, tWR: 5 } },
    );
    const circuit = buildCircuit({
      chips: { U1: [part, "A0=A CE#=low OE#=high WE#=WE# IO0=D"] },
      inputs: inputs("A", "WE#", "D"),
    });
    const good = {
      A: [
        [90, 1],
        [155, 0],
      ],
      D: [
        [120, 1],
        [155, 0],
      ],
      "WE#": [
        [100, 0],
        [150, 1],
      ],
    } as const;
    expect(watch(circuit, { "WE#": 1 }, good)).toEqual([]);
    const bad = {
      A: [
        [95, 1],
        [152, 0],
      ],
      D: [
        [125, 1],
        [151, 0],
      ],
      "WE#": [
        [100, 0],
        [139, 1],
      ],
    } as const;
    expect(watch(circuit, { "WE#": 1 }, bad)).toEqual([
      "memory write U1 A0 WE# 5 of 10 at 100",
      "pulse width U1 WE# 39 of 40 at 139",
      "memory write U1 A0 WE# 44 of 60 at 139",
      "memory write U1 IO0 WE# 14 of 30 at 139",
    ]);
  });

  it("says what it cannot watch for want of a figure", () => {
    const circuit = buildCircuit({
      chips: { U1: [known("74", { delay: 5 }), "1D=D 1CLK=CLK 1CLR#=high 1PRE#=high 1Q=Q"] },
      inputs: inputs("D", "CLK"),
    });
    expect(new Watch(start(circuit)).missing).toEqual([
      "set-up of 1D to 1CLK, not given",
      "hold of 1D to 1CLK, not given",
      "high width of 1CLK, not given",
      "low width of 1CLK, not given",
      "clock period of 1CLK, not given",
    ]);
  });
});
