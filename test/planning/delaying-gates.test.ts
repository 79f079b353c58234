import { expect, test } from "vitest";
import { gainBefore } from "../../src/planning/repair/delaying-gates.js";
import { type PassingGate, passingGates } from "../../src/planning/repair/passing-gates.js";
import type { Edge } from "../../src/parts/index.js";
import { fs } from "../../src/quantity/index.js";
import type { ChainStep } from "../../src/timing/index.js";
import { circuitIn } from "./repaired.js";

const text = `dotwright: 1
title: Two flip-flops, one at each edge of a can
supply: 5 V ± 5 %
ambient: 0 to 50 °C
build: printed board
raster: 640x480@60
chips:
  X1: { part: OSC-4MHz, note: oscillator, pins: { OUT: OSC } }
  U1:
    part: 74ACT74
    note: turns over
    pins:
      1CLK: OSC
      1D: T#
      1PRE#, 1CLR#, 2PRE#, 2CLR#: high
      1Q: T
      1Q#: T#
      2CLK, 2D: low
      2Q, 2Q#: open
`;

function aGate(): PassingGate {
  const circuit = circuitIn(text);
  const [chip] = circuit.chips.filter(({ ref }) => ref === "U1");
  const gate = chip && passingGates(circuit, chip)[0];
  if (!gate) throw new Error("no gate");
  return gate;
}

const wire = (to: string, used: "min" | "max"): ChainStep => ({
  ...{ kind: "wire", label: "", chip: to.split(" ")[0] ?? "", part: "", from: "X1 OUT", to, min: fs(0), max: fs(1e6) },
  ...{ used, cancelled: false, source: "", assumed: false, fromMemory: false },
});

/** What a gate behind a can adds to a margin between an edge of it at one chip and an edge at another. */
function gain(earlier: Edge, later: Edge, gate: PassingGate): number {
  const between = { text: "", time: fs(0), earlier: { edge: earlier, ticks: 0 }, later: { edge: later, ticks: 0 } };
  const chains = {
    ...{ earlier: [wire("U1 1CLK", "max")], later: [wire("U2 1CLK", "min")] },
    ...{ between, gap: "least" as const },
  };
  return gainBefore({ rule: "set-up", chains }, () => true, gate);
}

test("a gate on both ways takes nothing from a margin between like edges, and its spread from one between unlike ones", () => {
  const gate = aGate();
  expect(gate.most).toBeGreaterThan(gate.least);
  expect(gain("rise", "rise", gate)).toBe(0);
  expect(gain("fall", "rise", gate)).toBeCloseTo(gate.least - gate.most, 9);
});
