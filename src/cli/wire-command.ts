import { bringUpOf, faultBenchOf } from "../bench/index.js";
import { type Circuit, formatProblem, writeCsv } from "../circuit/index.js";
import { partsList, pinMaps, wiringList, wiringPage, wiringText, wiringTotals } from "../paper/index.js";
import { bringUpText } from "./bring-up-text.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { fromCircuit } from "./from-circuit.js";
import { writeWhole } from "./files.js";

export const wireCommand = defineCommand({
  name: "wire",
  summary: "List parts, wires from pin to pin, and pin maps",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    html: { kind: "text", value: "file", summary: "write a page to print, with boxes to tick, into this file" },
    bringUp: {
      kind: "flag",
      summary: "say in which order to bring it up, what to measure at each step, and what to expect",
    },
    csv: { kind: "text", value: "file", summary: "write every pin and its net as CSV into this file" },
  },
  examples: [
    "npx dotwright wire examples/tide-board.circuit.yaml",
    "npx dotwright wire examples/tide-board.circuit.yaml --html out/wiring.html",
    "npx dotwright wire examples/tide-board.circuit.yaml --csv out/board.csv",
    "npx dotwright wire examples/tide-board.circuit.yaml --bring-up",
  ],
  async run({ arguments: { file }, options: { html, csv, bringUp }, progress }) {
    const { circuit, warnings } = await readCircuitFile(file);
    if (bringUp) {
      const steps = await progress.during("simulating the board", () => fromCircuit(file, () => stepsOf(circuit)));
      return { exitCode: 0, text: bringUpText(circuit.title, steps), json: { title: circuit.title, steps, warnings } };
    }
    const [list, parts, maps] = [wiringList(circuit), partsList(circuit), pinMaps(circuit)];
    const written = { ...(html !== undefined && { page: html }), ...(csv !== undefined && { csv }) };
    const json = { ...list, partsList: parts, pinMaps: maps, warnings, ...written };
    const doubts = warnings.map((warning) => `${formatProblem(warning)}\n`).join("");
    if (html === undefined && csv === undefined)
      return { exitCode: 0, text: doubts + wiringText(list, parts, maps), json };
    const told = [`${doubts}${wiringTotals(list)}`];
    if (html !== undefined) {
      await writeWhole(html, wiringPage(circuit, file));
      told.push(`The page to print: ${html}`);
    }
    if (csv !== undefined) {
      await writeWhole(csv, writeCsv(circuit));
      told.push(`Every pin and its net: ${csv}`);
    }
    return { exitCode: 0, text: told.join("\n"), json };
  },
});

function stepsOf(circuit: Circuit) {
  return bringUpOf(faultBenchOf(circuit, { atRest: true }));
}
