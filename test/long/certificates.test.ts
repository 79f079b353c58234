import { expect, test } from "vitest";
import { settleExactly } from "../../src/exact/index.js";
import { prove } from "../../src/timing/index.js";
import { checkCertificate } from "../support/certificate/check-certificate.js";
import { circuitOf, randomRacingCircuit } from "../support/racing/random-racing-circuit.js";

const SEEDS = 300;

/** A circuit whose state takes longer to come back has no certificates. */
const MOST_TICKS = 5000;

test("every certificate of three hundred random circuits stands by itself", () => {
  let checked = 0;
  for (let seed = 0; seed < SEEDS; seed++) {
    const racing = randomRacingCircuit(seed);
    const circuit = circuitOf(racing);
    const { proof } = settleExactly(circuit, prove(circuit, { mostTicks: MOST_TICKS }));
    for (const verdict of proof.verdicts) {
      if (!verdict.exact) continue;
      checkCertificate(racing, verdict, proof.leadTicks + proof.cycleTicks);
      checked++;
    }
  }
  console.log(`${checked} certificates checked`);
  expect(checked).toBeGreaterThan(150);
});
