import type { Circuit } from "../circuit/index.js";
import { type Replay, findWitnesses, holdsInTime, replay } from "../evidence/index.js";
import { settleExactly } from "../exact/index.js";
import { ChangeDump, groupBuses } from "../simulation/index.js";
import { underLoad } from "../electrical/index.js";
import { BadInput } from "./bad-input.js";
import type { Answer } from "./command.js";
import { writeInPieces } from "./files.js";
import { verdictNamed } from "./named-verdict.js";
import { proveWhole } from "../judging/index.js";
import type { Progress } from "../judging/index.js";
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
  const { proof, witnesses } = settleExactly(loaded, await proveWhole(loaded, progress));
  const verdict = verdictNamed(proof.verdicts, wanted);
  const isFailure = verdict.state === "fails";
  if (!isFailure && !holdsInTime(verdict)) {
    throw new BadInput(`${verdict.name}: ${verdict.state}, and no time decides it, so there is no board to run`);
  }
  const found = await progress.during(`looking for a board ${isFailure ? "that fails" : "with the margin"}`, (tell) =>
    findWitnesses(loaded, [verdict], {
      ...proof,
      onProgress(share) {
        tell(share, 1);
        return true;
      },
    }),
  );
  const bySearch = found.get(verdict.name);
  const witness = bySearch?.isWorst ? bySearch : (witnesses.get(verdict.name) ?? bySearch);
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
