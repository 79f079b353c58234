import {
  accountDrawings,
  electricalFindingsAnswer,
  lockAnswer,
  memoryCycle,
  pictureAnswer,
  proofAnswer,
  report,
  verdictViews,
  wireAnswer,
  wiringList,
} from "../paper/index.js";
import { settleExactly } from "../exact/index.js";
import { simulateFrame } from "../simulation/index.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { writeWhole } from "./files.js";
import { judge } from "../judging/index.js";
import { version } from "./version-command.js";

export const reportCommand = defineCommand({
  name: "report",
  summary: "Write the verdict, the memory cycle, the picture and the wiring list into one page to print",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    output: { kind: "text", value: "file", summary: "the HTML page to write; beside the circuit file by default" },
  },
  examples: ["npx dotwright report examples/tide-board.circuit.yaml --output out/tide-board.html"],
  async run({ arguments: { file }, options: { output = besides(file) }, progress }) {
    const { circuit, warnings } = await readCircuitFile(file);
    const { loaded, proof, electrical, witnesses } = await judge(circuit, progress, {}, { decide: settleExactly });
    const cycle = await progress.during("drawing the memory cycle", () => memoryCycle(loaded, proof.verdicts));
    const seen = circuit.picture
      ? await progress.during("simulating", (tell) =>
          simulateFrame(circuit, { onProgress: (_stage, done, total) => tell(done, total) }),
        )
      : undefined;
    const page = report({
      circuit,
      file,
      madeBy: `dotwright ${version}`,
      verdicts: verdictViews(proof.verdicts),
      slots: proofAnswer(proof),
      ...(proof.coverage ? { coverage: proof.coverage.text } : {}),
      electrical,
      ...(cycle ? { cycle } : {}),
      accounts: accountDrawings(loaded, proof, witnesses),
      ...(seen ? { seen: seen.monitor } : {}),
    });
    await writeWhole(output, page);

    const answers = [
      proofAnswer(proof),
      electricalFindingsAnswer(electrical),
      ...(seen ? [lockAnswer(seen.monitor)] : []),
      ...(seen ? [pictureAnswer(seen.monitor)] : []),
      wireAnswer(wiringList(circuit)),
    ];
    const lines = answers.map(({ question, answer }) => `${question} ${answer}`);
    const holds = answers.every(({ state }) => state === undefined || state === "holds");
    return {
      exitCode: holds ? 0 : 1,
      text: [...lines, `The report: ${output}`].join("\n"),
      json: { answers, report: output, warnings },
    };
  },
});

function besides(file: string): string {
  return `${file.replace(/(?:\.circuit)?\.ya?ml$/i, "")}.report.html`;
}
