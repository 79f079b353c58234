import { formatProblem } from "../circuit/index.js";
import { nearestNames } from "../parts/index.js";
import { type Proof, type Verdict, countsAgainst, explain, groupsOf } from "../timing/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { accountData, proofData } from "./prove-data.js";
import { proveShown } from "./proving.js";
import { accountText, everyVerdictText, proofText } from "./prove-text.js";

export const proveCommand = defineCommand({
  name: "prove",
  summary: "Prove every timing rule over a whole frame, from data-sheet limits",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    why: { kind: "text", value: "verdict", summary: "account for one verdict, by its name" },
    all: { kind: "flag", summary: "list every verdict, not only the tightest of each rule" },
  },
  examples: [
    "npx dotwright prove examples/tide-board.circuit.yaml",
    'npx dotwright prove examples/tide-board.circuit.yaml --why "set-up U4 5D"',
  ],
  async run({ arguments: { file }, options: { why, all }, progress }) {
    const { circuit, warnings } = await readCircuitFile(file);
    const proof = await proveShown(circuit, progress);
    const exitCode = proof.verdicts.some(countsAgainst) ? 1 : 0;
    const doubts = warnings.map((warning) => `${formatProblem(warning)}\n`).join("");
    if (why !== undefined) {
      const verdict = verdictNamed(proof, why);
      return { exitCode, text: accountText(explain(verdict)), json: accountData(verdict) };
    }
    const text = doubts + (all ? everyVerdictText(proof) : proofText(proof, file));
    return { exitCode, text, json: { title: circuit.title, ...proofData(proof), warnings } };
  },
});

/** A verdict by its own name or by the label of its group, of which it is then the worst. */
function verdictNamed({ verdicts }: Proof, wanted: string): Verdict {
  const tidy = (name: string) => name.trim().replace(/\s+/g, " ").toUpperCase();
  const named = verdicts.find(({ name }) => tidy(name) === tidy(wanted));
  const group = named ? undefined : groupsOf(verdicts).find(({ label }) => tidy(label) === tidy(wanted));
  const verdict = named ?? group?.worst;
  if (verdict) return verdict;
  const near = nearestNames(
    wanted,
    verdicts.map(({ name }) => name),
  );
  const advice = near.length > 0 ? `did you mean ${near.map((name) => `"${name}"`).join(" or ")}?` : "--all lists them";
  throw new BadInput(`no verdict is called "${wanted}": ${advice}`);
}
