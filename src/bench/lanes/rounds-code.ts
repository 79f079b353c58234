import { FunctionCode, type ModuleWriter } from "../../simulation/compiled/wasm-writer.js";
import { Control } from "./places.js";

/** Things to work out, a flag each, and the function of each. */
export interface Flagged {
  readonly address: number;
  readonly count: number;
  readonly functions: ReadonlyMap<number, number>;
}

/** Rounds after which changes are carried out one at a time: what races in step may come to rest so. */
const SERIAL_AFTER = 32;
/**
 * Rounds after which what still changes is taken for ringing, and after which all is left. Ringing is looked for in two rounds
 * running, since a slow output changes only every other round; never where memories answer, which had to wait for it.
 */
const RINGING_AFTER = 64;
const MOST_ROUNDS = 96;

/**
 * Adds the function `settle`: works out marked units, then marked nodes, and so on until nothing is marked; memories come
 * when all else is at rest. Each round is the delay of one output. Returns its index.
 */
export function roundsCode(
  module: ModuleWriter,
  { units, late, nodes }: Record<"units" | "late" | "nodes", Flagged>,
): number {
  const nodePhase = module.add(callFlagged(nodes));
  const unitPhase = module.add(callFlagged(units, nodePhase));
  const latePhase = module.add(callFlagged(late));
  const code = new FunctionCode(0);
  const round = code.local();
  const anyFlag = ({ address, count }: Flagged) => {
    code.constant(0);
    for (let word = 0; word < Math.ceil(count / 32); word++) {
      code
        .constant(0)
        .load(32, address + 4 * word)
        .do("or");
    }
  };
  const clear = ({ address, count }: Flagged) => {
    for (let word = 0; word < Math.ceil(count / 32); word++) {
      code
        .constant(0)
        .constant(0)
        .store(32, address + 4 * word);
    }
  };
  code.begin("block").begin("loop");
  anyFlag(units);
  code.begin("if");
  code.call(unitPhase).do("drop");
  code.do("else");
  anyFlag(late);
  code.do("isZero").branchIf(2);
  code.constant(0).constant(0).store(32, Control.isRinging);
  code.call(latePhase).do("drop");
  code.do("end");
  code.call(nodePhase).do("drop");
  code.get(round).constant(1).do("add").set(round);
  code.get(round).constant(SERIAL_AFTER).do("lessUnsigned").branchIf(0);
  code.constant(0).constant(1).store(32, Control.isSerial);
  code
    .constant(0)
    .get(round)
    .constant(RINGING_AFTER - 1)
    .do("subtract")
    .constant(2)
    .do("lessUnsigned")
    .store(32, Control.isRinging);
  code.get(round).constant(MOST_ROUNDS).do("lessUnsigned").branchIf(0);
  for (const flagged of [units, late, nodes]) clear(flagged);
  code.do("end").do("end");
  code.constant(0).constant(0).store(32, Control.isSerial);
  code.constant(0).constant(0).store(32, Control.isRinging);
  return module.add(code.constant(0), "settle");
}

/** Calls the functions of all that is flagged, and takes the flags away; `after` each where changes go one at a time. */
export function callFlagged({ address, count, functions }: Flagged, after?: number): FunctionCode {
  const code = new FunctionCode(0);
  const flags = code.local();
  for (let word = 0; word < Math.ceil(count / 32); word++) {
    const at = address + 4 * word;
    code.constant(0).load(32, at).tee(flags).begin("if");
    code.constant(0).constant(0).store(32, at);
    const one = (bit: number) => {
      const target = functions.get(32 * word + bit);
      if (target === undefined) return;
      code.call(target).do("drop");
      if (after === undefined) return;
      code.constant(0).load(32, Control.isSerial).begin("if").call(after).do("drop").do("end");
    };
    // Halves first: few are flagged at a time.
    const among = (from: number, bits: number): void => {
      if (32 * word + from >= count) return;
      code
        .get(flags)
        .constant(((2 ** bits - 1) * 2 ** from) | 0)
        .do("and")
        .begin("if");
      if (bits === 1) one(from);
      else for (const half of [from, from + bits / 2]) among(half, bits / 2);
      code.do("end");
    };
    for (let from = 0; from < 32; from += 8) among(from, 8);
    code.do("end");
  }
  return code.constant(0);
}
