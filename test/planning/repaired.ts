import { type Circuit, readCircuit } from "../../src/circuit/index.js";
import { type Evaluation, type RepairResult, evaluateText, repair } from "../../src/planning/index.js";
import { findRaster } from "../../src/raster/index.js";
import type { Spoiling } from "./spoiling.js";

/** What a proof says of a text. */
export const evaluate = (text: string) => evaluateText(text, "board.yaml", { findRaster });

/** Whether it is a circuit of which nothing fails. */
export function isWell({ circuit, failing: verdicts, electrical }: Evaluation): boolean {
  return circuit !== undefined && verdicts.length + electrical.length === 0;
}

export function circuitIn(text: string): Circuit {
  const { circuit } = readCircuit(text, "board.yaml", { findRaster });
  if (!circuit) throw new Error("no circuit");
  return circuit;
}

/** Lets a text be repaired by somebody who never saw it otherwise, within so many proofs and seconds. */
export function repaired(text: string, mostProofs = 80, seconds = 60): Promise<RepairResult> {
  const began = performance.now();
  return repair(text, {
    evaluate: async (changed, limits) => evaluateText(changed, "board.yaml", { findRaster }, limits),
    mostProofs,
    enough: 1,
    clock: () => performance.now(),
    mayGoOn: () => performance.now() < began + 1000 * seconds,
  });
}

/** The first so many of some spoilings with which anything fails. */
export function failing(spoilings: readonly Spoiling[], most: number): readonly Spoiling[] {
  const found: Spoiling[] = [];
  for (const one of spoilings) {
    if (found.length >= most) break;
    if (!isWell(evaluate(one.text))) found.push(one);
  }
  return found;
}
