import type { Circuit } from "../circuit/circuit.js";
import { type Fs, fs } from "../quantity/index.js";
import { type BoardOptions, powerUpBoard } from "./board.js";
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
  return wavesAround(circuit, { delays: { seed, spread: spreadOf(seed) }, seed, busy: true }, nets, worstAt);
}

/** Runs a board again and records some of its nets around a moment. */
export function wavesAround(circuit: Circuit, options: BoardOptions, nets: readonly string[], at: Fs): BoardWaves {
  const { simulator } = powerUpBoard(circuit, options);
  const from = fs(Math.max(simulator.now, at - AROUND));
  const to = fs(at + AROUND);
  simulator.run(from);
  const tapes = circuit.nets
    .filter(({ name }) => nets.includes(name))
    .map(({ id, name }) => ({ name, tape: record(simulator, id) }));
  simulator.run(to);
  return { tapes, from, to, at };
}
