import { dirname, join } from "node:path";
import {
  type Circuit,
  formatProblem,
  type OwnPartsText,
  type Problem,
  ownPartsNamed,
  readCircuit,
  readOwnParts,
  type Remarks,
  remarksOf,
} from "../circuit/index.js";
import type { OwnParts } from "../parts/index.js";
import { findRaster } from "../raster/index.js";
import { BadInput } from "./bad-input.js";
import { readText } from "./files.js";

export type CircuitFile = {
  readonly circuit: Circuit;
  /** What stands in the file but is likely not meant so. */
  readonly warnings: readonly Problem[];
  /** What its comments say to its readers. */
  readonly remarks: Remarks;
};

/**
 * Reads and checks a circuit file, with the own parts file that it names.
 *
 * @throws BadInput with one line for every mistake
 */
export async function readCircuitFile(path: string): Promise<CircuitFile> {
  if (/\.csv$/i.test(path)) {
    throw new BadInput(
      `${path}: is a wiring list, not a circuit file: make one of it with 'npx dotwright adopt ${path}'`,
    );
  }
  const text = await readText(path);
  const ownParts = await ownPartsBeside(path, ownPartsNamed(text));
  const { circuit, problems } = readCircuit(text, path, { findRaster, ...(ownParts && { ownParts }) });
  if (circuit) return { circuit, warnings: problems, remarks: remarksOf(text) };
  throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
}

/** A circuit file's text with what is needed to read changed versions of it. */
export type CircuitText = {
  readonly text: string;
  readonly ownParts?: OwnPartsText;
};

/**
 * Reads the text of a circuit file, with the own parts file that it names.
 *
 * @throws BadInput with one line where it cannot be read
 */
export async function readCircuitText(path: string): Promise<CircuitText> {
  const text = await readText(path);
  const ownParts = await ownPartsBeside(path, ownPartsNamed(text));
  return { text, ...(ownParts && { ownParts }) };
}

/**
 * Reads and checks an own parts file by itself.
 *
 * @throws BadInput with one line for every mistake
 */
export async function readOwnPartsFile(path: string): Promise<{ parts: OwnParts; warnings: readonly Problem[] }> {
  const { parts, problems, hasErrors } = readOwnParts(await readText(path), path);
  if (parts && !hasErrors) return { parts, warnings: problems };
  throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
}

/** The own parts file beside a circuit file. One that cannot be read is a mistake in the circuit file, with its line. */
async function ownPartsBeside(circuitPath: string, file: string | undefined): Promise<OwnPartsText | undefined> {
  if (file === undefined) return undefined;
  const path = join(dirname(circuitPath), file);
  try {
    return { file, text: await readText(path) };
  } catch (error) {
    if (!(error instanceof BadInput)) throw error;
    return { file, unreadable: error.message.replace(`${path}: `, "") };
  }
}
