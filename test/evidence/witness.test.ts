import { describe, expect, test } from "vitest";
import { type Witness, findWitnesses, marginOf, replay, settle } from "../../src/evidence/index.js";
import { inNs } from "../../src/quantity/index.js";
import { type Verdict, prove } from "../../src/timing/index.js";
import { circuitOfSketch } from "../support/clocked-circuit.js";
import { type CircuitText, buildCircuit, oscillator } from "../support/build-circuit.js";
import { outsideLimits } from "../support/within-limits.js";
import { randomSketch } from "../support/random-clocked-circuit.js";

const CIRCUITS = 20;

describe("boards of random circuits", () => {
  const runs = Array.from({ length: CIRCUITS }, (_, index) => {
    const circuit = circuitOfSketch(randomSketch(5000 + index, { inputs: false }));
    const proof = prove(circuit, { mostTicks: 20_000 });
    const asked = proof.verdicts.filter(
      ({ occasion, state, margin }) => occasion && (state === "fails" || (state === "holds" && margin !== undefined)),
    );
    return {
      circuit,
      asked,
      witnesses: proof.cycleTicks > 0 ? findWitnesses(circuit, asked, proof) : new Map<string, Witness>(),
    };
  });
  const all = runs.flatMap(({ circuit, asked, witnesses }) =>
    asked.flatMap((verdict) => {
      const witness = witnesses.get(verdict.name);
      return [{ circuit, verdict, witness }];
    }),
  );
  const count = (keep: (verdict: Verdict, witness?: Witness) => boolean | undefined) =>
    all.filter(({ verdict, witness }) => keep(verdict, witness)).length;

  test("have the proved margin itself in nine places of ten", () => {
    const timed = count(({ margin }) => margin !== undefined);
    const attained = count((_, witness) => witness?.isWorst);
    const failing = count(({ state }) => state === "fails");
    const shown = count(({ state }, witness) => state === "fails" && witness !== undefined);
    console.log(`${attained} of ${timed} margins attained by a board; ${shown} of ${failing} failures shown`);
    expect(failing).toBeGreaterThan(15);
    expect(attained).toBeGreaterThan(0.9 * timed);
    expect(shown).toBeGreaterThan(0.8 * failing);
  });

  test("are never worse than proved, nor better than a failure", () => {
    for (const { verdict, witness } of all) {
      const margin = witness && marginOf(witness, verdict);
      if (margin === undefined || verdict.margin === undefined) continue;
      expect(margin, verdict.name).toBeGreaterThanOrEqual(verdict.margin - 2);
      if (verdict.state === "fails") expect(margin, verdict.name).toBeLessThan(0);
    }
  });

  test("lie within every limit", () => {
    for (const { circuit, witness } of all) if (witness) expect(outsideLimits(circuit, witness.scene)).toEqual([]);
  });

  test("fail again when they are run again", () => {
    for (const { circuit, verdict, witness } of all) {
      if (!witness || verdict.state !== "fails") continue;
      const { simulator, tapes, from, to } = replay(circuit, verdict, witness);
      expect(from).toBeLessThanOrEqual(witness.from);
      expect(to).toBeGreaterThan(witness.to);
      if (verdict.rule === "contention") {
        const { ended, open } = simulator.contentions;
        expect([...ended, ...open].map((fight) => fight.from)).toContain(witness.from);
        continue;
      }
      // Something happens at both moments on one of the nets that the verdict speaks of, or a wire's delay before.
      for (const moment of [witness.from, witness.to]) {
        const before = circuit.wireDelay.max;
        const isSeen = tapes.some(({ tape }) => tape.timesFs.some((time) => time <= moment && time >= moment - before));
        expect(isSeen, `${verdict.name} at ${moment} fs`).toBe(true);
      }
    }
  });
});

/** Two flip-flops, the second clocked through two gates: what the first hands on races against the late clock. */
const LATE_CLOCK: CircuitText = {
  chips: {
    X1: [oscillator(100), "OUT=CK"],
    U1: ["74AHC04", "1A=CK 1Y=CKN 2A=CKN 2Y=LATE"],
    U2: ["74HC74", "1CLK=CK 1D=QN 1Q=Q 1Q#=QN 1PRE#=high 1CLR#=high 2CLK=LATE 2D=Q 2Q=R 2PRE#=high 2CLR#=high"],
  },
};

describe("a register behind a late clock", () => {
  const circuit = buildCircuit(LATE_CLOCK);
  const { proof, witnesses } = settle(circuit, prove(circuit));
  const verdict = proof.verdicts.find(({ name }) => name === "hold U2 2D");

  test("misses its hold time on a board whose gates are slow and whose first register is fast", () => {
    const witness = witnesses.get("hold U2 2D");
    expect(verdict?.state).toBe("fails");
    expect(verdict?.shown).toEqual({ isWorst: true, margin: verdict?.margin });
    const arcs = [...(witness?.scene.corner.arcs ?? [])].map(([key, value]) => `${key}: ${inNs(value)} ns`);
    expect(arcs.some((line) => line.startsWith("U1 1A rise to 1Y fall"))).toBe(true);
    expect(arcs.some((line) => line.startsWith("U2 1CLK rise to 1Q"))).toBe(true);
  });
});
