import { headingOf } from "../paper/plan-words.js";
import { type Plan, designOf, obstaclesToWriting, writeCircuit } from "../planning/index.js";
import type { Answer } from "./command.js";
import { writeNew } from "./files.js";

/**
 * Writes the circuit file of the first of `shown` that can be written, or of all that nothing else beats where none of these
 * can. Says why where there is none.
 *
 * @throws BadInput where something is there already or the file cannot be written
 */
export async function writePlan(path: string, front: readonly Plan[], shown: readonly Plan[]): Promise<Answer> {
  const reasons = new Set<string>();
  for (const plan of [...shown, ...front]) {
    const design = designOf(plan);
    for (const obstacle of obstaclesToWriting(plan)) reasons.add(obstacle);
    if ("notYet" in design || obstaclesToWriting(plan).length > 0) continue;
    const number = front.indexOf(plan) + 1;
    await writeNew(path, writeCircuit(design, headingOf(plan, number, String(front.length))));
    return {
      exitCode: 0,
      text: `Wrote plan ${number} to ${path}. Next: npx dotwright prove ${path}\n`,
      json: { written: path, plan: number },
    };
  }
  const list = [...reasons];
  return {
    exitCode: 1,
    text: `None of ${front.length} plans can be written as a circuit:\n${list.map((one) => `  ${one}\n`).join("")}`,
    json: { written: null, reasons: list },
  };
}
