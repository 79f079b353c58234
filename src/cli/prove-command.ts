import { formatProblem } from "../circuit/index.js";
import { explainElectrical } from "../electrical/index.js";
import { nearestNames } from "../parts/index.js";
import { explain } from "../timing/index.js";
import { groupsOf } from "../verdict/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { type Answer, defineCommand } from "./command.js";
import { electricalAccountData } from "./prove-electrical-data.js";
import { electricalAccountText } from "./prove-electrical-text.js";
import { accountData, judgementData } from "./prove-data.js";
import { type Judgement, judgeShown } from "./proving.js";
import { accountText, everyVerdictText, judgementText } from "./prove-text.js";

export const proveCommand = defineCommand({
  name: "prove",
  summary: "Prove every timing and electrical rule over a whole frame, from data-sheet limits",
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
    const judgement = await judgeShown(circuit, progress);
    const exitCode = judgement.holds ? 0 : 1;
    const doubts = warnings.map((warning) => `${formatProblem(warning)}\n`).join("");
    if (why !== undefined) return { exitCode, ...accountOf(judgement, why) };
    const text = doubts + (all ? everyVerdictText(judgement) : judgementText(judgement, file));
    return { exitCode, text, json: { title: circuit.title, ...judgementData(judgement), warnings } };
  },
});

/** The account of a verdict by its own name or by the label of its group, of which it is then the worst. */
function accountOf({ proof, electrical }: Judgement, wanted: string): Pick<Answer, "text" | "json"> {
  const tidy = (name: string) => name.trim().replace(/\s+/g, " ").toUpperCase();
  const isWanted = ({ name }: { readonly name: string }) => tidy(name) === tidy(wanted);
  const isGroup = ({ label }: { readonly label: string }) => tidy(label) === tidy(wanted);
  const timing = proof.verdicts.find(isWanted) ?? groupsOf(proof.verdicts).find(isGroup)?.worst;
  if (timing) return { text: accountText(explain(timing)), json: accountData(timing) };
  const levels = electrical.verdicts.find(isWanted) ?? groupsOf(electrical.verdicts).find(isGroup)?.worst;
  if (levels) return { text: electricalAccountText(explainElectrical(levels)), json: electricalAccountData(levels) };
  const names = [...proof.verdicts, ...electrical.verdicts].map(({ name }) => name);
  const near = nearestNames(wanted, names);
  const advice = near.length > 0 ? `did you mean ${near.map((name) => `"${name}"`).join(" or ")}?` : "--all lists them";
  throw new BadInput(`no verdict is called "${wanted}": ${advice}`);
}
