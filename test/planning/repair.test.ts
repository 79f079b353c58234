import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { underLoad } from "../../src/electrical/index.js";
import { coneOf } from "../../src/planning/repair/cone.js";
import { placeOf } from "../../src/planning/repair/places.js";
import { type Verdict, prove } from "../../src/timing/index.js";
import { circuitIn, evaluate, failing, isWell, repaired } from "./repaired.js";
import { someSpoilings } from "./spoiling.js";

const textOf = (name: string) => readFileSync(new URL(`${name}.circuit.yaml`, import.meta.url), "utf8");
const gong = textOf("gong");

describe("the repairer, which never sees the circuit before it was spoilt", { timeout: 180_000 }, () => {
  test("finds nothing to do where nothing fails", async () => {
    expect(await repaired(gong)).toMatchObject({ repairs: [], proofs: 1, tried: [] });
  });

  test("mends boards spoilt at random: slower parts, a strobe, a missing register, a missing dead time", async () => {
    // Of the order of test/long/repair.test.ts, those that take least.
    const spoilt = failing(someSpoilings(gong, 1), 15).slice(8);
    expect(new Set(spoilt.map(({ kind }) => kind)).size).toBeGreaterThanOrEqual(4);
    const left: string[] = [];
    for (const { what, text } of spoilt) {
      const [best] = (await repaired(text)).repairs;
      // What is called mended is proved anew, as a whole.
      if (!best || !isWell(evaluate(best.text))) left.push(what);
    }
    expect(left).toEqual([]);
  });
});

test("what decides a place by itself is proved to be just what the whole board's proof says of it", () => {
  const circuit = underLoad(circuitIn(gong));
  const whole = prove(circuit).verdicts;
  const worst = new Map<string, Verdict>();
  for (const verdict of whole) {
    if (verdict.margin !== undefined && verdict.chip !== "" && !worst.has(placeOf(verdict)))
      worst.set(placeOf(verdict), verdict);
  }
  let least = Infinity;
  for (const [place, { chip: ref, pin, reference, margin, state }] of worst) {
    const chip = circuit.chips.find((one) => one.ref === ref);
    const cone =
      chip &&
      coneOf(
        circuit,
        [pin, reference].map((name) => ({ chip, pin: name })),
      );
    if (!cone) continue;
    least = Math.min(least, cone.chips.length / circuit.chips.length);
    const same = prove(cone).verdicts.filter((verdict) => placeOf(verdict) === place && verdict.pin === pin);
    expect(same.map((verdict) => [verdict.margin, verdict.state])).toContainEqual([margin, state]);
  }
  expect(least).toBeLessThan(0.5);
});
