import { describe, expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/circuit.js";
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

  const witnessed = all.flatMap(({ circuit, verdict, witness }) => (witness ? [{ circuit, verdict, witness }] : []));

  test("are never worse than proved, nor better than a failure", () => {
    const wrong = witnessed.filter(({ verdict, witness }) => {
      const margin = marginOf(witness, verdict);
      if (margin === undefined || verdict.margin === undefined) return false;
      return margin < verdict.margin - 2 || (verdict.state === "fails" && margin >= 0);
    });
    expect(wrong.map(({ verdict }) => verdict.name)).toEqual([]);
  });

  test("lie within every limit", () => {
    expect(witnessed.flatMap(({ circuit, witness }) => outsideLimits(circuit, witness.scene))).toEqual([]);
  });

  test("fail again when they are run again", () => {
    const failing = witnessed.filter(({ verdict }) => verdict.state === "fails");
    const unseen = failing.filter(({ circuit, verdict, witness }) => !isSeenAgain(circuit, verdict, witness));
    expect(unseen.map(({ verdict }) => verdict.name)).toEqual([]);
  });
});

/** Whether, on the board run once more, the fight begins, or something happens at both moments or a wire's delay before. */
function isSeenAgain(circuit: Circuit, verdict: Verdict, witness: Witness): boolean {
  const { simulator, tapes } = replay(circuit, verdict, witness);
  if (verdict.rule === "contention") {
    const { ended, open } = simulator.contentions;
    return [...ended, ...open].some(({ from }) => from === witness.from);
  }
  const before = circuit.wireDelay.max;
  return [witness.from, witness.to].every((moment) =>
    tapes.some(({ tape }) => tape.timesFs.some((time) => time <= moment && time >= moment - before)),
  );
}

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
