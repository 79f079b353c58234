import { csvToYaml, formatProblem } from "../circuit/index.js";
import { BadInput } from "./bad-input.js";
import { defineCommand } from "./command.js";
import { readText, writeNew } from "./files.js";

export const adoptCommand = defineCommand({
  name: "adopt",
  summary: "Make a circuit file of a wiring list (CSV: chip, part, pin, net)",
  arguments: { list: { summary: "the wiring list" } },
  options: {
    output: { kind: "text", value: "file", summary: "write the circuit file here, if nothing is there; else print it" },
  },
  examples: ["npx dotwright adopt out/board.csv --output out/board.circuit.yaml"],
  async run({ arguments: { list }, options: { output } }) {
    const { yaml, problems } = csvToYaml(await readText(list), list);
    if (yaml === undefined) {
      throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
    }
    const doubts = problems.map((problem) => `${formatProblem(problem)}\n`).join("");
    const json = { warnings: problems, ...(output === undefined ? { circuit: yaml } : { file: output }) };
    if (output === undefined) return { exitCode: 0, text: yaml.trimEnd(), json };
    await writeNew(output, yaml);
    const next = "Now state supply, raster, picture and inputs at its top: a wiring list does not say them.";
    return { exitCode: 0, text: `${doubts}The circuit file: ${output}\n${next}`, json };
  },
});
