import { type Expression, type Register, expressionText, namesIn } from "../../parts/index.js";
import { FunctionCode } from "../../simulation/compiled/wasm-writer.js";
import type { NodeId } from "../board/board.js";
import { SECOND_WAY, isNone } from "./lane-mask.js";
import { type PinReader, writeExpression } from "./pin-code.js";
import type { Places } from "./places.js";
import type { Unit } from "./unit-plan.js";

/** Where an output stands: what it drives and, where it may let go, in which lanes it drives. */
export interface OutputPlace {
  readonly value: number;
  readonly enable?: number;
  /** What was worked out last; the output follows a round later in slow lanes. */
  readonly pending: number;
  /** Nodes that it may drive in some lane. */
  readonly nodes: readonly NodeId[];
}

/** What the code of a unit needs to know. */
export interface UnitContext {
  readonly places: Places;
  readonly pins: PinReader;
  /** Storage bits of the chip, by name. */
  readonly bits: ReadonlyMap<string, number>;
  readonly outputs: ReadonlyMap<string, OutputPlace>;
  /** Lanes in which the unit takes a round longer. */
  readonly slow: number;
  /** What an oscillator or an input from outside carries. */
  readonly source?: number;
  /** Collects where clocks' last levels stand: all ones at power-up, so that nothing is taken for a rise. */
  readonly lastClocks: number[];
  /** Marks nodes, or the unit itself, to be worked out. */
  readonly markNodes: (code: FunctionCode, nodes: readonly NodeId[]) => void;
  readonly markUnit: (code: FunctionCode) => void;
}

/** The code that works a unit out: clocks that rose, overrides, then outputs. */
export function unitCode(unit: Unit, context: UnitContext): FunctionCode {
  const code = new FunctionCode(0);
  const { source } = context;
  const { storage, outputs, clock } = unit;
  if (storage.length > 0) writeStorage(code, unit, context);
  const names = new Names(code, unit, context);
  for (const { pin, value, enable } of outputs) {
    const place = context.outputs.get(pin);
    if (place) drive(code, context, place, () => names.write(value), enable && (() => names.write(enable)));
  }
  if (clock && source !== undefined) {
    const place = context.outputs.get(clock.pin);
    const { enable } = clock;
    const level = () => void code.constant(0).loadVector(source);
    if (place) drive(code, context, place, level, enable && (() => names.write(enable)));
  }
  return code.constant(0);
}

/** What pins see and bits hold, in locals; good for one stretch of code. */
class Names {
  private readonly held = new Map<string, number>();
  private readonly code: FunctionCode;
  private readonly unit: Unit;
  private readonly context: UnitContext;

  constructor(code: FunctionCode, unit: Unit, context: UnitContext) {
    this.code = code;
    this.unit = unit;
    this.context = context;
  }

  /** A local with what a pin sees, or what a bit holds as the code stands. */
  local(name: string): number {
    const { code, held, context, unit } = this;
    let known = held.get(name);
    if (known !== undefined) return known;
    known = code.vectorLocal();
    const bit = context.bits.get(name);
    const pin = unit.instance.pins.get(name);
    if (bit !== undefined) code.constant(0).loadVector(bit);
    else if (pin !== undefined) context.pins.read(code, pin);
    else code.vectorConstant(0);
    code.set(known);
    held.set(name, known);
    return known;
  }

  /** Makes sure that all names of an expression are in locals. */
  hold(expression: Expression): void {
    for (const name of namesIn(expression)) this.local(name);
  }

  write(expression: Expression, old?: ReadonlyMap<string, number>): void {
    this.hold(expression);
    writeExpression(this.code, expression, (name) => void this.code.get(old?.get(name) ?? this.local(name)));
  }
}

/** Bits take what their clocks and overrides give them. Where none acts, and the outputs show nothing else, that is all. */
function writeStorage(code: FunctionCode, { storage, outputs, instance, ...unit }: Unit, context: UnitContext): void {
  const { bits } = context;
  const whole = { storage, outputs, instance, ...unit };
  const readsNoBit = (expression: Expression) => namesIn(expression).every((name) => !bits.has(name));
  const clocks = storage.flatMap((bit) => (bit.kind === "register" ? [bit.clock] : []));
  const isPlain =
    storage.every(({ kind, overrides }) => kind === "register" && overrides.every(({ when }) => readsNoBit(when))) &&
    clocks.every(readsNoBit);
  const rises = new Map<string, number>();
  const rise = (names: Names, clock: Expression): number => {
    const key = expressionText(clock);
    const known = rises.get(key);
    if (known !== undefined) return known;
    const [risen, level, before] = [code.vectorLocal(), code.vectorLocal(), context.places.vector()];
    context.lastClocks.push(before);
    names.write(clock);
    code.tee(level).constant(0).loadVector(before).vector("without").set(risen);
    code.constant(0).get(level).storeVector(before);
    // A clock made of bits may rise again for the next stage.
    if (readsNoBit(clock)) rises.set(key, risen);
    return risen;
  };
  const outer = new Names(code, whole, context);
  if (isPlain) {
    const acting = code.vectorLocal();
    const whens = new Map(storage.flatMap((bit) => bit.overrides.map(({ when }) => [expressionText(when), when])));
    const risen = clocks.map((clock) => rise(outer, clock));
    code.vectorConstant(0);
    for (const one of new Set(risen)) code.get(one).vector("or");
    for (const when of whens.values()) {
      outer.write(when);
      code.vector("or");
    }
    code.set(acting);
    code.get(acting).vector("isAny").begin("if");
  }
  const names = isPlain ? new Names(code, whole, context) : outer;
  // What bits held before this change: data are taken from it.
  const old = new Map<string, number>();
  for (const { name } of storage) {
    const before = code.vectorLocal();
    code.get(names.local(name)).set(before);
    old.set(name, before);
  }
  for (const bit of storage) {
    const now = names.local(bit.name);
    if (bit.kind === "latch") {
      names.write(bit.next);
      code.get(now);
      names.write(bit.open);
      code.vector("choose").set(now);
    } else {
      const risen = rise(names, bit.clock);
      names.write(bit.next, new Map([...old, ...racing(code, names, bit, whole, context)]));
      code.get(now).get(risen).vector("choose").set(now);
    }
    for (const { when, value } of [...bit.overrides].reverse()) {
      names.write(value);
      code.get(now);
      names.write(when);
      code.vector("choose").set(now);
    }
    code
      .constant(0)
      .get(now)
      .storeVector(bits.get(bit.name) ?? 0);
  }
  if (!isPlain) return;
  const shown = outputs.flatMap(({ value, enable }) => [value, ...(enable ? [enable] : [])].flatMap(namesIn));
  // A slow output may still be on its way.
  if (shown.every((name) => bits.has(name))) {
    code.do("else");
    code.constant(0).loadVector(context.slow).vector("isAny").do("isZero").begin("if");
    code.constant(0).do("return").do("end");
  }
  code.do("end");
}

/**
 * Data that come on the clock's own wire change with it: in the second way the register takes what they were before. Locals
 * with that, by the pins' names.
 */
function racing(
  code: FunctionCode,
  names: Names,
  { clock, next }: Pick<Register, "clock" | "next">,
  { instance }: Unit,
  { pins }: UnitContext,
): ReadonlyMap<string, number> {
  const pinsOf = (expression: Expression) =>
    [...new Set(namesIn(expression))].filter((name) => instance.pins.has(name));
  const found = new Map<string, number>();
  for (const name of pinsOf(next)) {
    for (const other of pinsOf(clock)) {
      const [data, clockPin] = [instance.pins.get(name), instance.pins.get(other)];
      if (name === other || data === undefined || clockPin === undefined) continue;
      const lanes = pins.together(data, clockPin).map((word) => word & SECOND_WAY);
      if (isNone(lanes)) continue;
      const before = code.vectorLocal();
      code.get(found.get(name) ?? names.local(name));
      pins.mask(code, lanes);
      code.vector("xor").set(before);
      found.set(name, before);
    }
  }
  return found;
}

/** An output follows what was worked out; in slow lanes only when that stands for a second round. */
export function drive(
  code: FunctionCode,
  context: UnitContext,
  { value, enable, pending, nodes }: OutputPlace,
  level: () => void,
  isEnabled?: () => void,
): void {
  const [now, change, taken] = [code.vectorLocal(), code.vectorLocal(), code.vectorLocal()];
  level();
  code.tee(now).constant(0).loadVector(value).vector("xor").tee(change).vector("isAny").begin("if");
  code.get(change);
  code.get(now).constant(0).loadVector(pending).vector("xor");
  code.constant(0).loadVector(context.slow).vector("and");
  code.vector("without").set(taken);
  code.constant(0).get(now).storeVector(pending);
  code.get(taken).vector("isAny").begin("if");
  code.constant(0).constant(0).loadVector(value).get(taken).vector("xor").storeVector(value);
  context.markNodes(code, nodes);
  code.do("end");
  code.get(change).get(taken).vector("xor").vector("isAny").begin("if");
  context.markUnit(code);
  code.do("end");
  code.do("end");
  if (enable === undefined || !isEnabled) return;
  isEnabled();
  code.tee(now).constant(0).loadVector(enable).vector("xor").vector("isAny").begin("if");
  code.constant(0).get(now).storeVector(enable);
  context.markNodes(code, nodes);
  code.do("end");
}
