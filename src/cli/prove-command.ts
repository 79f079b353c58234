import { type Verdict, countsAgainst, explain, limitsInShort, prove, summary } from "../timing/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";

/** `prove FILE`: every timing rule of a circuit over a whole frame. Exits with 1 unless all hold. */
export const proveCommand = defineCommand({
  name: "prove",
  summary: "Prove every timing rule over a whole frame, from data-sheet limits",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    why: { kind: "text", value: "verdict", summary: "account for one verdict, by its name" },
    all: { kind: "flag", summary: "list every verdict, not only the tightest of each rule" },
  },
  examples: ["npx dotwright prove examples/tide-board.circuit.yaml"],
  async run({ arguments: given, options, progress }) {
    const { circuit } = await readCircuitFile(given.file);
    const proof = await progress.during("proving", async (report) =>
      prove(circuit, { onProgress: (ticks) => (report(ticks, 420_000), true) }),
    );
    const verdicts = proof.verdicts;
    const exitCode = verdicts.some(countsAgainst) ? 1 : 0;
    const json = { ...proof, verdicts: [...verdicts] };
    if (options.why !== undefined) {
      const verdict = verdicts.find(({ name }) => name === options.why);
      if (!verdict) throw new BadInput(`no verdict is named ${options.why}`);
      return { exitCode, text: JSON.stringify(explain(verdict), null, 2), json };
    }
    const { answer, groups } = summary(proof);
    const lines = options.all ? verdicts.map(line) : groups.map(({ worst }) => line(worst));
    return { exitCode, text: [answer, "", ...lines, "", limitsInShort].join("\n"), json };
  },
});

function line({ name, state, margin, count }: Verdict): string {
  const ns = margin === undefined ? "" : `margin ${(margin / 1e6).toFixed(2)} ns`;
  return `${state.padEnd(12)} ${name.padEnd(40)} ${ns.padEnd(20)} ${count} times`;
}
