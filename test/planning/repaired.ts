import { readFileSync } from "node:fs";
import { type Edit, applyEdits, evaluateText, repair } from "../../src/planning/index.js";
import { findRaster } from "../../src/raster/index.js";

const holding = readFileSync(new URL("light-buoy.circuit.yaml", import.meta.url), "utf8");
/** What a proof says of a text; one that takes longer than so many oscillator periods is given up. */
export const evaluate = (text: string, mostTicks?: number) =>
  evaluateText(text, "buoy", { findRaster }, mostTicks === undefined ? {} : { mostTicks });

/** Spoils the light buoy, and lets it be repaired by somebody who never sees it as it was. */
export async function repaired(edits: readonly Edit[]) {
  const spoilt = applyEdits(holding, edits) ?? "";
  const result = await repair(spoilt, {
    evaluate: async (texts, mostTicks) => texts.map((text) => evaluate(text, mostTicks)),
    mostProofs: 30,
    atOnce: 1,
    enough: 1,
  });
  return { spoilt, result, best: result.repairs[0] };
}
