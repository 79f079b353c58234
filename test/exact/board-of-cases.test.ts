import { expect, test } from "vitest";
import { settle } from "../../src/evidence/index.js";
import { settleExactly } from "../../src/exact/index.js";
import { proveSmall } from "../support/margins-on-boards.js";
import { circuitOf, randomRacingCircuit } from "../support/racing/random-racing-circuit.js";
import { outsideLimits } from "../support/within-limits.js";

/** A board of cases keeps strict conditions by a femtosecond each. */
const KEPT_FS = 2;

/** Random circuits with a failure whose margin only the cases tell, or that bounds do not tell at all. */
test.for([44, 57, 62, 71, 87])(
  "the failures of racing circuit %i happen as badly as the cases say, on boards within all limits",
  (seed) => {
    const circuit = circuitOf(randomRacingCircuit(seed));
    const bounds = settle(circuit, proveSmall(circuit));
    const { proof, witnesses } = settleExactly(circuit, bounds.proof);
    expect(witnesses.size).toBeGreaterThan(0);
    for (const [name, { scene }] of witnesses) {
      expect(outsideLimits(circuit, scene)).toEqual([]);
      const verdict = proof.verdicts.find((one) => one.name === name);
      const { margin = 0, shown, exact } = verdict ?? {};
      expect(exact?.isAttained).toBe(true);
      expect(shown?.margin).toBeLessThan(0);
      expect((shown?.margin ?? 0) - margin).toBeLessThanOrEqual(KEPT_FS);
    }
  },
);
