import { FunctionCode } from "../../simulation/compiled/wasm-writer.js";
import type { NodeId } from "../board/board.js";
import type { LaneMask } from "./lane-mask.js";
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
  /** Its rises are few and are logged with their times. */
  readonly isSlow: boolean;
}

export interface NodeContext {
  readonly pins: PinReader;
  /** Lanes in which the higher level wins a fight. */
  readonly highWins: LaneMask;
  /** The function that adds the vector at `carry` to a counter. */
  readonly add: number;
  readonly carry: number;
  readonly markUnits: (code: FunctionCode) => void;
}

/** Bytes of an entry in the log of rises: node, step, and the lanes. */
export const LOG_BYTES = 2 * VECTOR_BYTES;

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
export function restCode({ node, isSlow }: NodePlan, { pins, add, carry }: NodeContext): FunctionCode {
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
  if (isSlow) writeLog(code, node, rises);
  code.do("end");
  return code.constant(0);
}

function writeLog(code: FunctionCode, node: NodeId, rises: number): void {
  const next = code.local();
  code.constant(0).load(32, Control.logNext).tee(next);
  code.constant(0).load(32, Control.logEnd).do("lessUnsigned").begin("if");
  code.get(next).constant(node).store(32);
  code.get(next).constant(0).load(32, Control.step).store(32, 4);
  code.get(next).get(rises).storeVector(VECTOR_BYTES);
  code.constant(0).get(next).constant(LOG_BYTES).do("add").store(32, Control.logNext);
  code.do("end");
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
