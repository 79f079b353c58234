import { describe, expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { type Proof, prove, summary } from "../../src/timing/index.js";
import { letterOf, start } from "../simulation/running.js";
import { buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

const quick = { delay: [2, 5, 20], setUp: 5, hold: 1, width: 10, period: 30, recovery: 5 } as const;

/** A counter and a register of which two bits are wired; `enable`, `third` and `clock` may be to come. */
function board({ enable = "high", third = "low", clock = "CK", toCome }: Wires) {
  return buildCircuit({
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      U1: [known("163", quick), `CLK=CK CLR#=high LOAD#=high ENP=${enable} ENT=high A..D=low QA=QA QB=QB`],
      U2: [known("174", quick), `CLK=${clock} CLR#=high 1D=QA 1Q=ONE 2D=QB 2Q=TWO 3D=${third} 3Q=THREE 4D..6D=low`],
    },
    toCome,
  });
}

interface Wires {
  readonly enable?: string;
  readonly third?: string;
  readonly clock?: string;
  readonly toCome: readonly string[];
}

const judged = ({ verdicts }: Proof) => verdicts.filter(({ rule }) => rule !== "to come");
const namesOf = (proof: Proof) =>
  judged(proof)
    .map(({ name }) => name)
    .sort();
const about = (proof: Proof, chip: string) => proof.verdicts.filter((verdict) => verdict.chip === chip);

describe("a board whose wires are in part to come is proved as far as it goes", () => {
  const whole = () => prove(board({ toCome: [] }));

  test("what is wired has the verdicts of the whole board, margin for margin", () => {
    const half = prove(board({ third: "LATER", toCome: ["LATER"] }));
    expect(judged(half).map(({ name, state, margin }) => ({ name, state, margin }))).toEqual(
      whole().verdicts.map(({ name, state, margin }) => ({ name, state, margin })),
    );
  });

  test("a register whose clock is to come takes nothing, and nothing is said of its inputs", () => {
    const half = prove(board({ clock: "LATER", toCome: ["LATER"] }));
    expect(about(half, "U2")).toEqual([]);
    expect(namesOf(half)).toEqual(namesOf(whole()).filter((name) => name.includes("U1") || name === "power-up"));
  });

  test("a counter whose enable is to come may count at any clock: its set-up and hold times at the register stand", () => {
    const all = whole();
    const half = prove(board({ enable: "LATER", toCome: ["LATER"] }));
    for (const name of ["set-up U2 1D", "hold U2 1D", "set-up U2 2D", "hold U2 2D"]) {
      const { state, margin } = verdictOf(half, name);
      expect({ name, state, margin }).toEqual({ name, state: "holds", margin: verdictOf(all, name).margin });
    }
  });

  test("what rests on a net to come is not covered, and the pins that look at it are named", () => {
    const half = prove(board({ third: "LATER", toCome: ["LATER"] }));
    const found = half.verdicts.filter(({ rule }) => rule === "to come");
    expect(found).toMatchObject([{ name: "to come LATER", state: "not covered", net: "LATER" }]);
    expect(found[0]?.note).toContain("U2 3D");
    expect(summary(half).answer).toMatch(/^Not known/);
  });

  test("a fault in what is wired is found", () => {
    const slow = buildCircuit({
      chips: {
        X1: [oscillator(100), "OUT=CK"],
        U1: [
          known("163", { ...quick, delay: [2, 97] }),
          "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA=QA",
        ],
        U2: [known("174", quick), "CLK=CK CLR#=high 1D=QA 2D=LATER 3D..6D=low"],
      },
      toCome: ["LATER"],
    });
    expect(verdictOf(prove(slow), "set-up U2 1D")).toMatchObject({ state: "fails", margin: ns(100 - 97 - 5) });
  });
});

describe("a board whose wires are in part to come is simulated as far as it goes", () => {
  const after = (net: string, wires: Wires) => {
    const simulator = start(board(wires), { powerUp: { seed: 1 } });
    simulator.run(ns(1050));
    return letterOf(simulator, net);
  };

  test("what rests on a net to come is unknown, and nothing else", () => {
    const wires = { third: "LATER", toCome: ["LATER"] };
    expect(after("THREE", wires)).toBe("x");
    expect(after("ONE", wires)).toBe(after("ONE", { toCome: [] }));
    expect(after("ONE", wires)).toMatch(/[01]/);
  });

  test("a counter whose enable is to come is in no known state", () => {
    expect(after("QA", { enable: "LATER", toCome: ["LATER"] })).toBe("x");
  });
});
