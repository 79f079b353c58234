import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Edit, applyEdits, evaluateText, repair } from "../../src/planning/index.js";
import { findRaster } from "../../src/raster/index.js";

const holding = readFileSync(new URL("light-buoy.circuit.yaml", import.meta.url), "utf8");
const evaluate = (text: string, mostTicks?: number) =>
  evaluateText(text, "buoy", { findRaster }, mostTicks === undefined ? {} : { mostTicks });

async function repaired(edits: readonly Edit[]) {
  const spoilt = applyEdits(holding, edits) ?? "";
  const result = await repair(spoilt, {
    evaluate: async (texts, mostTicks) => texts.map((text) => evaluate(text, mostTicks)),
    mostProofs: 30,
    atOnce: 1,
    enough: 1,
  });
  return { spoilt, result, best: result.repairs[0] };
}

describe("the repairer, which never sees the circuit before it was spoilt", { timeout: 180_000 }, () => {
  test("finds nothing to do where nothing fails", async () => {
    const { result } = await repaired([]);
    expect(result).toMatchObject({ repairs: [], proofs: 1, tried: [] });
  });

  test("finds a faster part for one that is too slow, without a chip more", async () => {
    const { spoilt, best } = await repaired([{ kind: "part", chip: "U5", part: "74HC174" }]);
    expect(evaluate(spoilt).failing.length).toBeGreaterThan(0);
    expect(best?.changes.map(({ kind, chips }) => ({ kind, chips }))).toEqual([{ kind: "part", chips: 0 }]);
    expect(evaluate(best?.text ?? "").failing).toEqual([]);
  });
});
