import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Edit, applyEdits, evaluateText, repair } from "../../src/planning/index.js";
import { findRaster } from "../../src/raster/index.js";

const holding = readFileSync(new URL("../planning/light-buoy.circuit.yaml", import.meta.url), "utf8");
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

describe("the repairer, which never sees the circuit before it was spoilt", { timeout: 900_000 }, () => {
  test("puts a register back that a write strobe was taken past", async () => {
    const { spoilt, best } = await repaired([{ kind: "net", chip: "U2", pin: "5A", net: "WRITE_NEXT" }]);
    expect(evaluate(spoilt).failing.length).toBeGreaterThan(0);
    expect(best?.changes).toHaveLength(1);
    const { failing, electrical } = evaluate(best?.text ?? "");
    expect([...failing.map(({ name }) => name), ...electrical]).toEqual([]);
  });
});
