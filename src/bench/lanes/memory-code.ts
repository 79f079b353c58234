import { type Memory, namesIn } from "../../parts/index.js";
import { FunctionCode } from "../../simulation/compiled/wasm-writer.js";
import { LANES } from "./lane-mask.js";
import { writeExpression } from "./pin-code.js";
import { VECTOR_BYTES } from "./places.js";
import { type UnitContext, drive } from "./unit-code.js";
import type { Unit } from "./unit-plan.js";

/** Where a port of a memory keeps what it works with. */
export interface PortPlaces {
  /** Words, each as one vector a bit. */
  readonly cells: number;
  /** What the address pins, the data pins and the outputs carry: a vector a bit. */
  readonly address: number;
  readonly data: number;
  readonly out: number;
}

/** Bits of a word in memory: always eight places. */
export const CELL_BYTES = 8 * VECTOR_BYTES;

/**
 * The code of one port, when all else is at rest: lanes with the same address are served together. Cells that are written
 * take the data; lanes that read get the cell.
 */
export function portCode(unit: Unit, port: Memory, context: UnitContext, places: PortPlaces): FunctionCode {
  const code = new FunctionCode(0);
  const { pins } = context;
  const { instance } = unit;
  const held = new Map<string, number>();
  const local = (name: string): number => {
    let known = held.get(name);
    if (known !== undefined) return known;
    known = code.vectorLocal();
    const pin = instance.pins.get(name);
    if (pin === undefined) code.vectorConstant(0);
    else pins.read(code, pin);
    code.set(known);
    held.set(name, known);
    return known;
  };
  const write = (expression: Memory["read"]) => {
    for (const name of namesIn(expression)) local(name);
    writeExpression(code, expression, (name) => void code.get(local(name)));
  };
  const [reads, writes, left, same, lane, address, word] = [
    code.vectorLocal(),
    code.vectorLocal(),
    code.vectorLocal(),
    code.vectorLocal(),
    code.local(),
    code.local(),
    code.local(),
  ];
  if (port.write) {
    write(port.write);
    pins.mask(code, instance.alive);
    code.vector("and").set(writes);
  }
  write(port.read);
  pins.mask(code, instance.alive);
  code.vector("and").get(writes).vector("without").set(reads);
  port.address.forEach((name, bit) => {
    code
      .constant(0)
      .get(local(name))
      .storeVector(places.address + bit * VECTOR_BYTES);
  });
  if (port.write) {
    port.data.forEach((name, bit) => {
      code
        .constant(0)
        .get(local(name))
        .storeVector(places.data + bit * VECTOR_BYTES);
    });
  }
  code.get(reads).get(writes).vector("or").set(left);
  code.begin("block").begin("loop");
  code.get(left).vector("isAny").do("isZero").branchIf(1);
  // The first lane that is left, and its address.
  code.constant(0).set(lane);
  for (let index = LANES / 32 - 1; index >= 0; index--) {
    code.get(left).vectorWord(index).tee(word).begin("if");
    code
      .get(word)
      .do("countTrailingZeros")
      .constant(32 * index)
      .do("add")
      .set(lane);
    code.do("end");
  }
  code.constant(0).set(address);
  code.get(left).set(same);
  port.address.forEach((_, bit) => {
    const at = places.address + bit * VECTOR_BYTES;
    bitOfLane(code, at, lane);
    code.tee(word).constant(bit).do("shiftLeft").get(address).do("or").set(address);
    code.get(same).constant(0).loadVector(at);
    code.get(word).constant(1).do("subtract").vector("splat").vector("xor").vector("and").set(same);
  });
  code.get(left).get(same).vector("without").set(left);
  code.get(address).constant(CELL_BYTES).do("multiply").set(address);
  if (port.write) {
    code.get(same).get(writes).vector("and").vector("isAny").begin("if");
    port.data.forEach((_, bit) => {
      const at = places.cells + bit * VECTOR_BYTES;
      code.get(address);
      code.constant(0).loadVector(places.data + bit * VECTOR_BYTES);
      code.get(address).loadVector(at);
      code.get(same).get(writes).vector("and").vector("choose").storeVector(at);
    });
    code.do("end");
  }
  code.get(same).get(reads).vector("and").tee(same).vector("isAny").begin("if");
  port.data.forEach((_, bit) => {
    const out = places.out + bit * VECTOR_BYTES;
    code.constant(0);
    code.get(address).loadVector(places.cells + bit * VECTOR_BYTES);
    code.constant(0).loadVector(out);
    code.get(same).vector("choose").storeVector(out);
  });
  code.do("end");
  code.branch(0).do("end").do("end");
  port.data.forEach((name, bit) => {
    const place = context.outputs.get(name);
    if (!place) return;
    drive(
      code,
      context,
      place,
      () => void code.constant(0).loadVector(places.out + bit * VECTOR_BYTES),
      () => void code.get(reads),
    );
  });
  return code.constant(0);
}

/** Puts a lane's bit of the vector at a place on the stack; the lane is in a local. */
function bitOfLane(code: FunctionCode, at: number, lane: number): void {
  code.get(lane).constant(3).do("shiftRight").load(8, at);
  code.get(lane).constant(7).do("and").do("shiftRight").constant(1).do("and");
}
