import type { Circuit } from "../circuit/index.js";
import { type Replay, type Witness, findWitnesses, holdsInTime, replay } from "../evidence/index.js";
import { settleExactly } from "../exact/index.js";
import { ChangeDump, groupBuses } from "../simulation/index.js";
import { underLoad } from "../electrical/index.js";
import { BadInput } from "./bad-input.js";
import type { Answer } from "./command.js";
import { writeInPieces } from "./files.js";
import { verdictNamed } from "./named-verdict.js";
import { proveWhole } from "../judging/index.js";
import type { Progress } from "../judging/index.js";
import type { Proof, Verdict } from "../timing/index.js";
import { witnessData } from "./witness-data.js";
import { witnessText } from "./witness-text.js";

/**
 * Runs the board on which a failure of the timing happens, or that has no more to spare than was proved; tells what it does
 * around that moment, and writes a dump of it if asked.
 *
 * @throws BadInput where no such verdict rests on a time, or no board is found
 */
export async function runWitness(
  circuit: Circuit,
  wanted: string,
  vcd: string | undefined,
  progress: Progress,
): Promise<Answer> {
  const loaded = underLoad(circuit);
  const proof = await proveWhole(loaded, progress);
  const bound = verdictNamed(proof.verdicts, wanted);
  const isFailure = bound.state === "fails";
  if (!isFailure && !holdsInTime(bound)) {
    throw new BadInput(`${bound.name}: ${bound.state}, and no time decides it, so there is no board to run`);
  }
  const sought = await progress.during(`looking for a board ${isFailure ? "that fails" : "with the margin"}`, (tell) =>
    findWitnesses(loaded, [bound], {
      ...proof,
      onProgress(share) {
        tell(share, 1);
        return true;
      },
    }),
  );
  const found = sought.get(bound.name);
  const { verdict, witness } =
    isFailure && !found?.isWorst ? byCases(loaded, proof, bound, found) : { verdict: bound, witness: found };
  if (!witness || !(isFailure || witness.isWorst)) {
    throw new BadInput(`${verdict.name}: no board was found on which it happens; see prove --why`);
  }
  const run = (write?: (text: string) => void): Replay => {
    let dump: ChangeDump | undefined;
    const seen = replay(loaded, verdict, witness, (simulator, from, to) => {
      const nets = groupBuses(
        circuit,
        circuit.nets.filter(({ rail }) => !rail).map(({ id }) => id),
      );
      if (write) dump = new ChangeDump(simulator, { nets, from, to, comment: verdict.name });
    });
    dump?.end();
    write?.(dump?.read() ?? "");
    return seen;
  };
  const seen = vcd === undefined ? run() : await writeInPieces(vcd, run);
  const files = vcd === undefined ? "" : `\n\nThe value change dump: ${vcd}`;
  return {
    exitCode: isFailure ? 1 : 0,
    text: witnessText(verdict, witness, seen) + files,
    json: { ...witnessData(verdict, witness, seen), ...(vcd !== undefined && { vcdPath: vcd }) },
  };
}

/** The board of a failure that was decided case by case, where it is as bad as the one that was found. */
function byCases(circuit: Circuit, proof: Proof, bound: Verdict, found: Witness | undefined) {
  const decided = settleExactly(circuit, proof);
  const verdict = decided.proof.verdicts.find(({ name }) => name === bound.name);
  const witness = decided.witnesses.get(bound.name);
  const isAsBad = (witness?.available ?? Infinity) <= (found?.available ?? Infinity);
  return verdict && witness && isAsBad ? { verdict, witness } : { verdict: bound, witness: found };
}
