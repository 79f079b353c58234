import { formatProblem } from "../circuit/index.js";
import { seeingRecipe } from "../bench/index.js";
import { settleExactly } from "../exact/index.js";
import { explainElectrical } from "../electrical/index.js";
import { attain } from "../evidence/index.js";
import { type Verdict, explain } from "../timing/index.js";
import { readCircuitFile } from "./circuit-file.js";
import { BadInput } from "./bad-input.js";
import { type Answer, defineCommand } from "./command.js";
import { electricalAccountData } from "./prove-electrical-data.js";
import { electricalAccountText } from "./prove-electrical-text.js";
import { accountData, judgementData } from "./prove-data.js";
import { maybeNamed, noVerdictNamed } from "./named-verdict.js";
import { type Judgement, type Progress, compareJudgements, judge } from "../judging/index.js";
import { comparisonData, comparisonText } from "./comparison-text.js";
import { runRepair } from "./repair-run.js";
import { runWhatIf } from "./what-if-run.js";
import { accountText, attainedText, everyVerdictText, judgementText } from "./prove-text.js";

export const proveCommand = defineCommand({
  name: "prove",
  summary: "Prove every timing and electrical rule over a whole frame, from data-sheet limits",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    why: { kind: "text", value: "verdict", summary: "account for one verdict, by its name" },
    against: {
      kind: "text",
      value: "file",
      summary: "what moved since another version of the circuit, and which change did it",
    },
    repair: { kind: "flag", summary: "look for changes after which nothing fails, each proved" },
    apply: { kind: "flag", summary: "with --repair: write the smallest into the file" },
    whatIf: { kind: "flag", summary: "what the board bears: clock, wires, surroundings, other parts, each proved" },
    proofs: {
      kind: "number",
      value: "count",
      summary: "with --repair: proofs at most",
      default: 60,
      least: 2,
      whole: true,
    },
    seconds: {
      kind: "number",
      value: "time",
      summary: "with --repair or --what-if: time at most",
      default: 300,
      least: 1,
    },
    attained: { kind: "flag", summary: "look for a board that has each margin, however much it holds by" },
    all: { kind: "flag", summary: "list every verdict, not only the tightest of each rule" },
  },
  examples: [
    "npx dotwright prove examples/tide-board.circuit.yaml",
    'npx dotwright prove examples/tide-board.circuit.yaml --why "set-up U4 5D"',
    "npx dotwright prove mine.circuit.yaml --against mine-before.circuit.yaml",
  ],
  async run({ arguments: { file }, options, progress }) {
    const { why, against, attained, all, repair, apply, proofs, seconds } = options;
    if (apply && !repair) throw new BadInput("dotwright: --apply goes with --repair");
    const { circuit, warnings } = await readCircuitFile(file);
    if (options.whatIf) return runWhatIf(file, seconds, progress);
    if (repair) return runRepair({ file, apply, proofs, seconds }, progress);
    const began = performance.now();
    const judged = await judge(circuit, progress, {}, { decide: settleExactly, clock: () => performance.now() });
    const took = performance.now() - began;
    const judgement = await withBoards(judged, attained ? judged.proof.verdicts : named(judged, why), progress);
    const exitCode = judgement.holds ? 0 : 1;
    const doubts = warnings.map((warning) => `${formatProblem(warning)}\n`).join("");
    if (against !== undefined) return compared(against, file, judgement, progress);
    if (why !== undefined) return { exitCode, ...accountOf(judgement, why) };
    const remark = attained ? attainedText(judgement.proof) : "";
    const text =
      doubts + (all ? everyVerdictText(judgement, took, remark) : judgementText(judgement, file, took, remark));
    return { exitCode, text, json: { title: circuit.title, ...judgementData(judgement, took), warnings } };
  },
});

/** The judgement with boards that have the margins of these verdicts. */
async function withBoards(judgement: Judgement, wanted: readonly Verdict[], progress: Progress): Promise<Judgement> {
  if (wanted.length === 0) return judgement;
  const { loaded } = judgement;
  const proof = await progress.during("looking for boards with the margins", (tell) =>
    attain(loaded, judgement.proof, wanted, (share) => {
      tell(share, 1);
      return true;
    }),
  );
  return { ...judgement, proof };
}

/** The verdict that is asked about, if its rule is one of time. */
function named({ proof }: Judgement, why: string | undefined): readonly Verdict[] {
  const found = why === undefined ? undefined : maybeNamed(proof.verdicts, why);
  return found ? [found] : [];
}

/** What moved since another version; its verdicts decide nothing. */
async function compared(other: string, file: string, now: Judgement, progress: Progress): Promise<Answer> {
  const { circuit } = await readCircuitFile(other);
  const before = await judge(circuit, progress, {}, { decide: settleExactly });
  const comparison = compareJudgements(before, now);
  return {
    exitCode: now.holds ? 0 : 1,
    text: comparisonText(comparison, { before: other, now: file }),
    json: comparisonData(comparison),
  };
}

/** The account of a verdict by its own name or by the label of its group, of which it is then the worst. */
function accountOf({ loaded, proof, electrical }: Judgement, wanted: string): Pick<Answer, "text" | "json"> {
  const timing = maybeNamed(proof.verdicts, wanted);
  if (timing) {
    const recipe = seeingRecipe(loaded, timing);
    return { text: accountText(explain(timing), recipe), json: { ...accountData(timing), recipe } };
  }
  const levels = maybeNamed(electrical.verdicts, wanted);
  if (levels) return { text: electricalAccountText(explainElectrical(levels)), json: electricalAccountData(levels) };
  throw noVerdictNamed(wanted, [...proof.verdicts, ...electrical.verdicts]);
}
