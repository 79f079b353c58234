import { formatProblem } from "../circuit/index.js";
import { partsList, pinMaps, wiringList, wiringPage, wiringText, wiringTotals } from "../paper/index.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { writeWhole } from "./files.js";

export const wireCommand = defineCommand({
  name: "wire",
  summary: "List parts, wires from pin to pin, and pin maps",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    html: { kind: "text", value: "file", summary: "write a page to print, with boxes to tick, into this file" },
  },
  examples: [
    "npx dotwright wire examples/tide-board.circuit.yaml",
    "npx dotwright wire examples/tide-board.circuit.yaml --html out/wiring.html",
  ],
  async run({ arguments: { file }, options: { html } }) {
    const { circuit, warnings } = await readCircuitFile(file);
    const [list, parts, maps] = [wiringList(circuit), partsList(circuit), pinMaps(circuit)];
    const json = { ...list, partsList: parts, pinMaps: maps, warnings, ...(html === undefined ? {} : { page: html }) };
    const doubts = warnings.map((warning) => `${formatProblem(warning)}\n`).join("");
    if (html === undefined) return { exitCode: 0, text: doubts + wiringText(list, parts, maps), json };
    await writeWhole(html, wiringPage(circuit, file));
    return { exitCode: 0, text: `${doubts}${wiringTotals(list)}\nThe page to print: ${html}`, json };
  },
});
