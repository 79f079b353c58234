/**
 * The proof: seconds for one whole frame of each bundled board, with what it found, so that a fast proof of nothing shows;
 * the phases, and how often something was worked out or only looked up.
 * Name a board to time it alone: `npm run bench -- prove` runs this file.
 */
import { readFileSync } from "node:fs";
import { performance } from "node:perf_hooks";
import { type Circuit, formatProblem, readCircuit } from "../src/circuit/index.js";
import { settleExactly } from "../src/exact/index.js";
import { prove } from "../src/timing/index.js";

const BOARDS = ["tide-board", "tide-board-wide-fast", "tide-board-wide", "tide-board-loader"];
const wanted = process.argv[2];

function open(name: string): Circuit {
  const file = `examples/${name}.circuit.yaml`;
  const { circuit, problems } = readCircuit(readFileSync(file, "utf8"), file);
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

for (const name of wanted ? [wanted] : BOARDS) {
  const circuit = open(name);
  const before = process.cpuUsage();
  const began = performance.now();
  const clock = () => performance.now();
  const proof = prove(circuit, { clock });
  const { verdicts, cycleTicks, leadTicks, situations, work } = proof;
  const { cost } = settleExactly(circuit, proof, { clock });
  const seconds = (performance.now() - began) / 1000;
  const { user, system } = process.cpuUsage(before);
  const failing = verdicts.filter(({ state }) => state !== "holds").length;
  const count = (value: number) => value.toLocaleString("en");
  console.log(
    `${name}: ${seconds.toFixed(1)} s, ${((user + system) / 1e6).toFixed(1)} s of processor time, for ` +
      `${count(leadTicks + cycleTicks)} oscillator periods, ${count(situations)} situations, ` +
      `${verdicts.length} verdicts of which ${failing} do not hold`,
  );
  if (!work) continue;
  const shares = Object.entries(work.time).map(([phase, ms]) => `${phase} ${((ms / seconds) * 0.1).toFixed(0)} %`);
  console.log(
    `  ${shares.join(", ")}\n` +
      `  worked out ${count(work.reactionsFound)} reactions and ${count(work.differencesFound)} differences of chains; ` +
      `looked up ${count(work.reactionsKnown)} and ${count(work.differencesKnown)}\n` +
      `  decided ${count(cost.decided)} margins case by case: ${count(cost.solverCalls)} calls of a solver, ` +
      `${((cost.solverTime / seconds) * 0.1).toFixed(1)} %`,
  );
}
