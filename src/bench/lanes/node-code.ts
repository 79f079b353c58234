import { FunctionCode } from "../../simulation/compiled/wasm-writer.js";
import type { NodeId } from "../board/board.js";
import { LANES, type LaneMask } from "./lane-mask.js";
import type { PinReader } from "./pin-code.js";
import { Control, NODE_BYTES, NodePart, VECTOR_BYTES } from "./places.js";
import type { OutputPlace } from "./unit-code.js";

/** An output on a node, in some lanes. */
export interface NodeDriver {
  readonly place: OutputPlace;
  /** Absent where it is there in all lanes. */
  readonly lanes?: LaneMask;
}

export interface NodePlan {
  readonly node: NodeId;
  readonly drivers: readonly NodeDriver[];
  /** Where the times of its rises are kept, if they are. */
  readonly times?: number;
}

export interface NodeContext {
  readonly pins: PinReader;
  /** Lanes in which the higher level wins a fight. */
  readonly highWins: LaneMask;
  /** The function that adds the vector at `carry` to a counter. */
  readonly add: number;
  readonly carry: number;
  /** The function that keeps the step as the time of a rise in the lanes of the vector at `carry`. */
  readonly keepTime: number;
  readonly markUnits: (code: FunctionCode) => void;
}

/** Of the times of a node's rises in one lane: the steps of the first and of the last one, and how many there were. */
export const RiseTime = { first: 0, last: 4, count: 8 } as const;
export const TIMES_SHIFT = 4;

/** Whether a node may be fought over or left to itself in some lane. */
export function isOpenTo({ drivers }: NodePlan): boolean {
  const [only] = drivers;
  return drivers.length !== 1 || only?.lanes !== undefined || only?.place.enable !== undefined;
}

/**
 * The code that works a node out from what drives it: where drivers disagree the lane's way decides, where none drives it
 * keeps its level. What reads it is marked.
 */
export function nodeCode(plan: NodePlan, context: NodeContext): FunctionCode {
  const { node, drivers } = plan;
  const { pins, highWins, markUnits } = context;
  const code = new FunctionCode(0);
  const at = pins.nodes + node * NODE_BYTES;
  const load = (part: number) => code.constant(0).loadVector(at + part);
  const [level, change] = [code.vectorLocal(), code.vectorLocal()];
  const [only] = drivers;
  if (!isOpenTo(plan) && only) {
    code.constant(0).loadVector(only.place.value).set(level);
  } else {
    const [high, low, on, fights] = [code.vectorLocal(), code.vectorLocal(), code.vectorLocal(), code.vectorLocal()];
    for (const { place, lanes } of drivers) {
      if (place.enable !== undefined) code.constant(0).loadVector(place.enable);
      else code.vectorConstant(1);
      if (lanes) {
        pins.mask(code, lanes);
        code.vector("and");
      }
      code.set(on);
      code.get(on).constant(0).loadVector(place.value).vector("and").get(high).vector("or").set(high);
      code.get(on).constant(0).loadVector(place.value).vector("without").get(low).vector("or").set(low);
    }
    code
      .constant(0)
      .get(high)
      .get(low)
      .vector("and")
      .tee(fights)
      .storeVector(at + NodePart.fights);
    code
      .constant(0)
      .get(high)
      .get(low)
      .vector("or")
      .tee(on)
      .vector("not")
      .storeVector(at + NodePart.open);
    code.get(high).get(low).vector("without");
    code.get(fights);
    pins.mask(code, highWins);
    code.vector("and").vector("or");
    load(NodePart.value);
    code.get(on).vector("choose").set(level);
  }
  load(NodePart.value);
  code.get(level);
  load(NodePart.frozen);
  code.vector("choose").set(level);
  code.get(level);
  load(NodePart.value);
  code.vector("xor").tee(change).vector("isAny").begin("if");
  code.constant(0).load(32, Control.isRinging).begin("if");
  code.constant(0);
  load(NodePart.frozen);
  code
    .get(change)
    .vector("or")
    .storeVector(at + NodePart.frozen);
  code.constant(0).do("return");
  code.do("end");
  code
    .constant(0)
    .get(level)
    .storeVector(at + NodePart.value);
  markUnits(code);
  code.do("end");
  return code.constant(0);
}

/** Counts a node's rise when all is at rest, so that what flickers on the way does not count. */
export function restCode({ node, times }: NodePlan, { pins, add, carry, keepTime }: NodeContext): FunctionCode {
  const code = new FunctionCode(0);
  const at = pins.nodes + node * NODE_BYTES;
  const [level, rises] = [code.vectorLocal(), code.vectorLocal()];
  code
    .constant(0)
    .loadVector(at + NodePart.value)
    .tee(level);
  code
    .constant(0)
    .loadVector(at + NodePart.rest)
    .vector("without")
    .set(rises);
  code
    .constant(0)
    .get(level)
    .storeVector(at + NodePart.rest);
  code.get(rises).vector("isAny").begin("if");
  code.constant(0).get(rises).storeVector(carry);
  code
    .constant(at + NodePart.rises)
    .call(add)
    .do("drop");
  if (times !== undefined) code.constant(times).call(keepTime).do("drop");
  code.do("end");
  return code.constant(0);
}

/** Keeps the step as the time of a rise in the lanes of the vector at `carry`; the parameter says where. */
export function keepTimeCode(carry: number): FunctionCode {
  const code = new FunctionCode(1);
  const [rest, at, step] = [code.local(), code.local(), code.local()];
  code.constant(0).load(32, Control.step).set(step);
  for (let word = 0; word < LANES / 32; word++) {
    code
      .constant(0)
      .load(32, carry + 4 * word)
      .set(rest);
    code.begin("block").begin("loop");
    code.get(rest).do("isZero").branchIf(1);
    code
      .get(rest)
      .do("countTrailingZeros")
      .constant(32 * word)
      .do("add");
    code.constant(TIMES_SHIFT).do("shiftLeft").get(0).do("add").set(at);
    code.get(rest).get(rest).constant(1).do("subtract").do("and").set(rest);
    code.get(at).load(32, RiseTime.count).do("isZero").begin("if");
    code.get(at).get(step).store(32, RiseTime.first);
    code.do("end");
    code.get(at).get(step).store(32, RiseTime.last);
    code.get(at).get(at).load(32, RiseTime.count).constant(1).do("add").store(32, RiseTime.count);
    code.branch(0).do("end").do("end");
  }
  return code.constant(0);
}

/** Adds the vector at `carry` to a counter whose address is the parameter: a bit of each lane's count in each vector. */
export function addCode(carry: number): FunctionCode {
  const code = new FunctionCode(1);
  const [rest, held] = [code.vectorLocal(), code.vectorLocal()];
  code.constant(0).loadVector(carry).set(rest);
  code.begin("loop");
  code.get(0).get(0).loadVector().tee(held).get(rest).vector("xor").storeVector();
  code.get(held).get(rest).vector("and").set(rest);
  code.get(0).constant(VECTOR_BYTES).do("add").set(0);
  code.get(rest).vector("isAny").branchIf(0);
  code.do("end");
  return code.constant(0);
}

/** Counts the level of every node, and where it may be, whether it is fought over or left to itself. */
export function sampleCode(plans: readonly NodePlan[], { pins, add, carry }: NodeContext): FunctionCode {
  const code = new FunctionCode(0);
  const count = (from: number, to: number) => {
    code.constant(0).constant(0).loadVector(from).storeVector(carry);
    code.constant(to).call(add).do("drop");
  };
  for (const plan of plans) {
    const at = pins.nodes + plan.node * NODE_BYTES;
    count(at + NodePart.value, at + NodePart.highs);
    if (!isOpenTo(plan)) continue;
    count(at + NodePart.fights, at + NodePart.fought);
    count(at + NodePart.open, at + NodePart.opened);
  }
  return code.constant(0);
}
