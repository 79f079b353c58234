import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { NoProgress } from "../../src/simulation/index.js";
import { ANY_TIME, buildCircuit, gate, known, oscillator } from "../support/build-circuit.js";
import { letterOf, listen, play, start } from "./running.js";

/** Halves the oscillator; nothing sets it. */
const divider = buildCircuit({
  chips: {
    X1: [oscillator(40), "OUT=OSC"],
    U1: [known("74", { delay: 10 }), "1CLK=OSC 1D=Q# 1Q=Q 1Q#=Q# 1CLR#=high 1PRE#=high"],
  },
});

/** Two NAND gates that hold each other. */
const crossCoupled = buildCircuit({
  chips: {
    U1: [gate("A B", "!(A & B)", 9), "A=S# B=Q# Y=Q"],
    U2: [gate("A B", "!(A & B)", 9), "A=R# B=Q Y=Q#"],
  },
  inputs: { "S#": ANY_TIME, "R#": ANY_TIME },
});

describe("power-up", () => {
  it("leaves what nothing sets unknown for ever", () => {
    const simulator = start(divider);
    const q = listen(simulator, "Q");
    simulator.run(ns(1000));
    expect(letterOf(simulator, "Q")).toBe("x");
    expect(q).toEqual([]);
  });

  it("with a seed starts from either level, so that a divider runs", () => {
    const first = new Set<string>();
    for (let seed = 0; seed < 20; seed++) {
      const simulator = start(divider, { powerUp: { seed } });
      first.add(letterOf(simulator, "Q"));
      const q = listen(simulator, "Q");
      simulator.run(ns(1000));
      expect(q.length).toBe(25);
    }
    expect([...first].sort()).toEqual(["0", "1"]);
  });

  it("lets cross-coupled gates take either side with a seed, and leaves them unknown without", () => {
    const high = { "S#": 1, "R#": 1 } as const;
    expect(letterOf(start(crossCoupled, { inputs: high }), "Q")).toBe("x");
    const seen = new Set<string>();
    for (let seed = 0; seed < 20; seed++) {
      const simulator = start(crossCoupled, { inputs: high, powerUp: { seed } });
      seen.add(letterOf(simulator, "Q") + letterOf(simulator, "Q#"));
      play(simulator, "S#", [
        [100, 0],
        [150, 1],
      ]);
      simulator.run(ns(300));
      expect(letterOf(simulator, "Q")).toBe("1");
    }
    expect([...seen].sort()).toEqual(["01", "10"]);
  });

  it("keeps what is stored behind a latch that is closed", () => {
    const circuit = buildCircuit({
      chips: {
        U1: [gate("A", "!A", 5), "A=IN Y=G"],
        U2: [known("373", { delay: 9 }), "LE=G OE#=low 1D=IN 1Q=Q"],
      },
      inputs: { IN: ANY_TIME },
    });
    fc.assert(
      fc.property(fc.nat(), (seed) => {
        const simulator = start(circuit, { powerUp: { seed }, inputs: { IN: 1 } });
        expect(letterOf(simulator, "Q")).toMatch(/[01]/);
      }),
    );
  });

  it("ends with a plain error where gates feed each other without delay", () => {
    const circuit = buildCircuit({
      chips: { U1: [gate("A B", "!(A & B)", 0), "A=RUN B=RING Y=RING"] },
      inputs: { RUN: ANY_TIME },
    });
    const run = () => {
      const simulator = start(circuit);
      play(simulator, "RUN", [[50, 1]]);
      simulator.run(ns(1000));
    };
    expect(run).toThrow(NoProgress);
    expect(run).toThrow(/time stands still at 5\d ns. Nets: RING/);
  });
});
