import { type Circuit, formatProblem, type Problem, readCircuit } from "../circuit/index.js";
import { findRaster } from "../raster/index.js";
import { BadInput } from "./bad-input.js";
import { readText } from "./files.js";

export type CircuitFile = {
  readonly circuit: Circuit;
  /** What stands in the file but is likely not meant so. */
  readonly warnings: readonly Problem[];
};

/**
 * Reads and checks a circuit file.
 *
 * @throws BadInput with one line for every mistake
 */
export async function readCircuitFile(path: string): Promise<CircuitFile> {
  if (/\.csv$/i.test(path)) {
    throw new BadInput(
      `${path}: is a wiring list, not a circuit file: make one of it with 'npx dotwright adopt ${path}'`,
    );
  }
  const { circuit, problems } = readCircuit(await readText(path), path, { findRaster });
  if (circuit) return { circuit, warnings: problems };
  throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
}
