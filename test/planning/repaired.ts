import { type Circuit, readCircuit } from "../../src/circuit/index.js";
import {
  type Evaluation,
  type RepairResult,
  evaluateText,
  pictureText,
  repair,
  screenText,
} from "../../src/planning/index.js";
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

/** Milliseconds of processor time, which do not grow where others use the machine too. */
function processorTime(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** Lets a text be repaired by somebody who never saw it otherwise, within so many proofs and seconds of processor time. */
export function repaired(text: string, mostProofs = 80, seconds = 60): Promise<RepairResult> {
  const began = processorTime();
  return repair(text, {
    evaluate: async (changed, limits) => evaluateText(changed, "board.yaml", { findRaster }, limits),
    read: (changed) => readCircuit(changed, "board.yaml", { findRaster }).circuit,
    screen: (changed, periods) => screenText(changed, "board.yaml", { findRaster }, periods),
    picture: (changed) => pictureText(changed, "board.yaml", { findRaster }),
    mostProofs,
    enough: 1,
    clock: processorTime,
    mayGoOn: () => processorTime() < began + 1000 * seconds,
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
