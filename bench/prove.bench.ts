/**
 * The proof: seconds for one whole frame of each bundled board, with what it found, so that a fast proof of nothing shows.
 * Name a board to time it alone: `npm run bench -- prove` runs this file.
 */
import { readFileSync } from "node:fs";
import { performance } from "node:perf_hooks";
import { type Circuit, formatProblem, readCircuit } from "../src/circuit/index.js";
import { prove } from "../src/timing/index.js";

const BOARDS = ["tide-board", "tide-board-wide-fast", "tide-board-wide", "tide-board-loader"];

function open(name: string): Circuit {
  const file = `examples/${name}.circuit.yaml`;
  const { circuit, problems } = readCircuit(readFileSync(file, "utf8"), file);
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

for (const name of BOARDS) {
  const circuit = open(name);
  const began = performance.now();
  const { verdicts, cycleTicks, leadTicks, situations } = prove(circuit);
  const seconds = (performance.now() - began) / 1000;
  const failing = verdicts.filter(({ state }) => state !== "holds").length;
  console.log(
    `${name}: ${seconds.toFixed(1)} s for ${(leadTicks + cycleTicks).toLocaleString("en")} oscillator periods, ` +
      `${situations.toLocaleString("en")} situations, ${verdicts.length} verdicts of which ${failing} do not hold`,
  );
}
