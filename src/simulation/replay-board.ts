import type { Circuit } from "../circuit/circuit.js";
import { type Fs, fs } from "../quantity/index.js";
import { powerUpBoard } from "./board.js";
import { type BoardFault, spreadOf } from "./random-board.js";
import { type Tape, record } from "./tape.js";

/** What some nets of a board did around a moment. */
export interface BoardWaves {
  readonly tapes: readonly { readonly name: string; readonly tape: Tape }[];
  readonly from: Fs;
  readonly to: Fs;
  readonly at: Fs;
}

/** Twice this time is shown. */
const AROUND = fs(80_000_000);

/** Runs a board again up to the worst of a fault and records the nets that it names. */
export function replayBoard(circuit: Circuit, seed: number, { nets, worstAt }: BoardFault): BoardWaves {
  const { simulator } = powerUpBoard(circuit, { delays: { seed, spread: spreadOf(seed) }, seed, busy: true });
  const from = fs(Math.max(0, worstAt - AROUND));
  const to = fs(worstAt + AROUND);
  simulator.run(from);
  const tapes = circuit.nets
    .filter(({ name }) => nets.includes(name))
    .map(({ id, name }) => ({ name, tape: record(simulator, id) }));
  simulator.run(to);
  return { tapes, from, to, at: worstAt };
}
