import { expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/index.js";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { quick, twoRegisters } from "./verdict-fixture.js";

const can = oscillator(100);
const oneClock = "The proof needs exactly one oscillator can, whose edges all times count from; the circuit has";
const flipFlop = "1PRE#=high 1CLR#=high 1Q=SEEN";

/** What keeps a circuit, or a part of it, from being proved: the name, and all of what is said. */
const REASONS: readonly (readonly [name: string, circuit: Circuit, note: string])[] = [
  ["oscillator", { ...twoRegisters(), chips: twoRegisters().chips.slice(1) }, `${oneClock} none.`],
  ["oscillator", buildCircuit({ chips: { X1: [can, "OUT=A"], X2: [can, "OUT=B"] } }), `${oneClock} 2: X1, X2.`],
  ["oscillator", buildCircuit({ chips: { X1: [can, ""] } }), "X1 drives no net."],
  [
    "feedback A, C, B",
    buildCircuit({
      chips: {
        X1: [can, "OUT=CK"],
        U1: ["74HC04", "1A=C 1Y=A 2A=A 2Y=B 3A=B 3Y=C 4A..6A=low"],
        U2: ["74HC74", `1CLK=CK 1D=C ${flipFlop}`],
      },
    }),
    "A, C, B lead back to themselves through gates alone: U1 1A to 1Y, U1 3A to 3Y, U1 2A to 2Y. Nothing tells when they " +
      "come to rest, so what follows from them is not proved. Put a flip-flop into the loop.",
  ],
  [
    "to come LATER",
    buildCircuit({
      chips: { X1: [can, "OUT=CK"], U1: [known("74", quick), `1CLK=CK 1D=LATER ${flipFlop}`] },
      toCome: ["LATER"],
    }),
    "Nothing drives LATER yet, so what U1 1D can see of it is not judged. Wire it, then prove again.",
  ],
  [
    "driven from outside D",
    buildCircuit({
      chips: {
        X1: [can, "OUT=CK"],
        U1: ["74HC125", "1OE#=CK 1A=low 1Y=D"],
        U2: ["74HC74", `1CLK=CK 1D=D ${flipFlop}`],
      },
      inputs: { D: { after: ["CK", "rise"], from: 30, to: 60 } },
    }),
    "D comes from outside and U1 can drive it as well. What comes from outside is not judged there, for nothing says who " +
      "drives it when. Give the two sides nets of their own, with a buffer between them.",
  ],
  [
    "figure U1 CLK rise to 3Q rise",
    twoRegisters({ first: { ...quick, delay: (_from, _edge, to) => (to === "3Q" ? undefined : 9) } }),
    "No sheet on record gives U1: CLK rise to 3Q rise, not given: an own parts file can.",
  ],
];

test.for(REASONS)("%s: says why, and what to do", ([name, circuit, note]) => {
  const found = prove(circuit).verdicts.find((verdict) => verdict.name === name);
  expect(found?.note).toBe(note);
  expect(found?.state).toBe(name.startsWith("feedback") ? "fails" : "not covered");
});

test("a state that does not come back says for how long it was followed", () => {
  const counting = "CLR#=high LOAD#=high ENP=high ENT=high A..D=low";
  const circuit = buildCircuit({
    chips: {
      X1: [can, "OUT=CK"],
      U1: [known("163", quick), `CLK=CK ${counting} QD=Q3`],
      U2: [known("163", quick), `CLK=Q3 ${counting} QD=Q7`],
      U3: [known("163", quick), `CLK=Q7 ${counting} QD=Q11`],
    },
  });
  const { verdicts } = prove(circuit, { mostTicks: 1000 });
  expect(verdicts.map(({ name, state, note }) => ({ name, state, note }))).toEqual([
    {
      name: "repetition",
      state: "not settled",
      note:
        "The control state does not come back within 1,000 oscillator periods, so not every state was seen and nothing is settled. " +
        "Look for a counter that no clear or load ever brings back, or one longer than a frame.",
    },
  ]);
});
