import type { Circuit } from "../circuit/index.js";
import { replay, type Witness } from "../evidence/index.js";
import { explain, type Proof, summary } from "../timing/index.js";
import { chainDrawing } from "./chain-drawing.js";
import type { CycleDrawing } from "./cycle-drawing.js";
import { witnessDrawing } from "./witness-drawing.js";

/** A verdict in one sentence, with the chains of delays that set its margin, and a board that shows it where it fails. */
export interface AccountDrawing {
  /** `set-up U4 5D holds with 8.74 ns to spare`. */
  readonly heading: string;
  readonly sentence: string;
  readonly chain: CycleDrawing;
  readonly board?: CycleDrawing;
}

/** Verdicts that are drawn: more would make nobody wiser, the rest stand in the tables. */
const [mostFailures, mostThatHold] = [6, 3];

/**
 * The worst places of a proof as drawings: what fails, or where all holds the tightest. `circuit` is the one that was proved,
 * with its delays under load.
 */
export function accountDrawings(
  circuit: Circuit,
  proof: Proof,
  witnesses: ReadonlyMap<string, Witness>,
): readonly AccountDrawing[] {
  const worst = summary(proof).groups.map((group) => group.worst);
  const bad = worst.filter(({ state }) => state === "fails" || state === "not settled");
  const shown = bad.length > 0 ? bad : worst;
  const most = bad.length > 0 ? mostFailures : mostThatHold;
  const drawn: AccountDrawing[] = [];
  for (const verdict of shown) {
    const chain = chainDrawing(circuit, verdict, proof.period);
    if (!chain) continue;
    const witness = witnesses.get(verdict.name);
    const { heading, sentences } = explain(verdict);
    drawn.push({
      heading,
      sentence: sentences[0] ?? "",
      chain,
      ...(witness && { board: witnessDrawing(verdict, witness, replay(circuit, verdict, witness)) }),
    });
    if (drawn.length === most) break;
  }
  return drawn;
}
