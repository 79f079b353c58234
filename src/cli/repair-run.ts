import { type CircuitText, readCircuitText } from "./circuit-file.js";
import { BadInput } from "./bad-input.js";
import type { Answer } from "./command.js";
import { readText, writeWholeIf } from "./files.js";
import type { Progress } from "../judging/index.js";
import { readCircuit } from "../circuit/index.js";
import { pageWidth, wrapText } from "../paper/index.js";
import {
  type Pictured,
  type Repair,
  type RepairResult,
  evaluateText,
  pictureText,
  repair,
  screenText,
} from "../planning/index.js";
import { inNs, ns } from "../quantity/index.js";
import { findRaster } from "../raster/index.js";

export interface RepairRequest {
  readonly file: string;
  /** Writes the smallest repair into the file. */
  readonly apply: boolean;
  readonly proofs: number;
  readonly seconds: number;
}

/** Repairs after which no more are looked for: the search goes from fewer changes to more. */
const ENOUGH = 1;

/** Looks for changes of a circuit file after which nothing fails, each proved, and writes the smallest where that is asked. */
export async function runRepair({ file, apply, proofs, seconds }: RepairRequest, progress: Progress): Promise<Answer> {
  const original = await readCircuitText(file);
  const deadline = performance.now() + 1000 * seconds;
  const result = await progress.during("trying changes", (tell) => {
    let done = 0;
    return repair(original.text, {
      mostProofs: proofs,
      enough: ENOUGH,
      clock: () => performance.now(),
      mayGoOn: () => {
        tell(done, proofs);
        return performance.now() < deadline;
      },
      read: (text) => readCircuit(text, file, readOptions(original)).circuit,
      screen: (text, periods) => screenText(text, file, readOptions(original), periods),
      picture: (text) => pictureText(text, file, readOptions(original)),
      evaluate: async (text, limits) => {
        const evaluation = evaluateText(text, file, readOptions(original), limits);
        if (!limits.only && !evaluation.stopped) done++;
        return evaluation;
      },
    });
  });
  const [best] = result.repairs;
  if (apply && best) await write(file, original.text, best.text);
  const isDone = best !== undefined || result.failing === 0;
  return { exitCode: isDone ? 0 : 1, text: repairText(result, file, apply), json: repairData(result, apply) };
}

function readOptions({ ownParts }: CircuitText) {
  return { findRaster, ...(ownParts && { ownParts }) };
}

/** Writes over the file only where it still is what was read. */
async function write(file: string, before: string, after: string): Promise<void> {
  const isWritten = await writeWholeIf(file, after, async () => (await readText(file)) === before);
  if (!isWritten) throw new BadInput(`${file}: was changed meanwhile and stays as it is; run the command again`);
}

function repairText(
  { failing, repairs, proofs, screened, tried, nearest }: RepairResult,
  file: string,
  isApplied: boolean,
): string {
  const lines: string[] = [];
  const say = (text: string) => lines.push(...wrapText(text, pageWidth));
  if (failing === undefined) return "The file could not be proved, so that no change can be tried.";
  if (failing === 0) return "Nothing fails.";
  if (repairs.length === 0) {
    say(
      `No changes were found after which nothing fails: ${counted(screened, "change")} simulated, ${counted(proofs, "proof")}. --proofs and --seconds give it more time.`,
    );
    if (nearest) {
      lines.push("", "Nearest, with fewer failures than before but not proved to hold:");
      lines.push(...changeLines(nearest));
      say(`${nearest.evaluation.failing.length + nearest.evaluation.electrical.length} checks still fail.`);
    }
    if (tried.length > 0) lines.push("", "Proved, with the timing checks that then fail:");
    for (const { what, failing } of tried) lines.push(...indented(`${what}: ${failing}`));
    return lines.join("\n");
  }
  const these = repairs.length === 1 ? "this" : "each of these";
  say(`Proved: after ${these} nothing fails (${counted(screened, "change")} simulated, ${counted(proofs, "proof")}).`);
  repairs.forEach((found, index) => {
    const { leastMargin } = found.evaluation;
    const chips = found.changes.reduce((sum, change) => sum + change.chips, 0);
    const margin = leastMargin === undefined ? "" : `, least margin ${inNs(ns(leastMargin / 1e6)).toFixed(2)} ns`;
    lines.push(
      "",
      `${repairs.length === 1 ? "" : `${index + 1}. `}${chips === 0 ? "no chip more" : chips === 1 ? "one chip more" : `${chips} chips more`}${margin}`,
    );
    lines.push(...changeLines(found));
    if (found.picture) lines.push(...indented(PICTURES[found.picture]));
    if (found.changes.some(({ kind }) => kind !== "part" && kind !== "pull-up")) {
      lines.push(
        ...indented(
          "It moves when something happens. Everything that was checked before still is, and as often where the file has a picture; look at what it does with 'simulate' before you wire it.",
        ),
      );
    }
  });
  lines.push("");
  const first = repairs.length === 1 ? "it" : "the first";
  if (isApplied) say(`Written into ${file}${repairs.length === 1 ? "" : ": the first"}.`);
  else say(`--apply writes ${first} into the file; comments and layout stay.`);
  return lines.join("\n");
}

/** What a simulated frame shows after a repair. */
const PICTURES: Record<Pictured, string> = {
  card: "A simulated frame meets the raster and shows a test card dot for dot.",
  raster: "A simulated frame meets the raster, but shows no test card dot for dot: look at it with 'simulate'.",
  neither: "A simulated frame does not meet the raster: that is not the picture which the file asks for.",
};

function counted(count: number, what: string): string {
  return `${count} ${what}${count === 1 ? "" : "s"}`;
}

function changeLines({ changes }: Repair): readonly string[] {
  return changes.flatMap(({ what }) => indented(what));
}

function indented(text: string): readonly string[] {
  return wrapText(text, pageWidth - 4).map((line, index) => (index === 0 ? `  - ${line}` : `    ${line}`));
}

function repairData({ failing, repairs, proofs, screened, tried, nearest }: RepairResult, isApplied: boolean) {
  const data = ({ changes, evaluation, picture }: Repair) => ({
    changes: changes.map(({ what, kind, chips, edits }) => ({ what, kind, chips, edits })),
    leastMarginNs: evaluation.leastMargin === undefined ? undefined : evaluation.leastMargin / 1e6,
    failing: evaluation.failing.length + evaluation.electrical.length,
    ...(picture && { picture }),
  });
  return {
    failing,
    proofs,
    simulated: screened,
    repairs: repairs.map(data),
    applied: isApplied && repairs.length > 0,
    ...(nearest && { nearest: data(nearest) }),
    tried,
  };
}
