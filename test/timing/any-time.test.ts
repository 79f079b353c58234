import { expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";

/** Signals that may change at any time have very many pasts; what no receiver can look back to is not followed. */
const quick = { delay: [2, 5, 20], setUp: 5, hold: 1, width: 10, period: 30, recovery: 5 } as const;

test.each([
  [500, 500, 1000],
  [100, 100, 1300],
  [200, 200, 2600],
  [1000, 1000, 2000],
  [1000, 1000, 10_000],
])(
  "a synchroniser of two stages holds: high %i, low %i, repeat %i ns",
  (high, low, repeat) => {
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(100), "OUT=CK"],
        U1: [known("174", quick), "CLK=CK CLR#=high 1D=IN 1Q=S1 2D=S1 2Q=S2 3D..6D=low"],
      },
      inputs: { IN: { anyTime: { high, low, repeat } } },
    });
    const found = prove(circuit).verdicts.filter(({ rule }) => rule === "asynchronous signal");
    expect(found.map(({ name, state }) => ({ name, state }))).toEqual([{ name: "synchroniser U1 1D", state: "holds" }]);
  },
  30_000,
);

test("a signal that may change at any time must not be sampled in two places: they may take it to be different", () => {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      U1: [known("174", quick), "CLK=CK CLR#=high 1D=IN 1Q=S1 2D=S1 2Q=S2 3D=IN 4D..6D=low"],
    },
    inputs: { IN: { anyTime: { high: 1000, low: 1000, repeat: 2000 } } },
  });
  const found = prove(circuit).verdicts.filter(({ rule }) => rule === "asynchronous signal");
  expect(found.map(({ name, state }) => `${name} ${state}`).sort()).toEqual([
    "synchroniser U1 1D fails",
    "synchroniser U1 3D fails",
  ]);
});

/** 62256 sheets, write cycle: all times of a write stand although only the strobe says when it comes. */
test("a memory that something outside writes at any time is judged", () => {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(250), "OUT=CK"],
      U1: [known("174", quick), "CLK=CK CLR#=high 1D=low 2D..6D=low"],
      U4: ["62256-55", "A0=RA0 A1..A14=low CE#=low OE#=high WE#=WR"],
    },
    inputs: {
      WR: { anyTime: { high: 100, low: 100, repeat: 400 } },
      RA0: { steadyAround: ["WR", "rise"], before: 150, after: 20 },
    },
  });
  const found = prove(circuit).verdicts.filter(({ chip }) => chip === "U4");
  const states = Object.fromEntries(found.map(({ name, state }) => [name, state]));
  expect(states["tAW U4 A0"]).toBe("holds");
  // The strobe may be low for longer than the 150 ns for which the address stands before it rises.
  expect(states["tAS U4 A0"]).toBe("fails");
});
