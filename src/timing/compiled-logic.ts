import { type Expression, evaluate, namesIn } from "../parts/index.js";
import { EITHER, HIGH, LOW, type LevelSet, asRead } from "./level-set.js";

/** Beyond this many unknown inputs an expression is taken as unknown rather than tried for every combination. */
const MOST_UNKNOWN = 12;

/** An expression over the numbered signals (slots) of one chip. */
export interface Logic {
  /** The slots that the expression reads. */
  readonly slots: readonly number[];
  /** The values it can have for signals that each have one unknown value of their set; exact. */
  possible(sets: (slot: number) => LevelSet): LevelSet;
  /** Whether some choice of the other signals makes it depend on this one. */
  dependsOn(slot: number, sets: (slot: number) => LevelSet): boolean;
}

/** Compiles an expression; `slotOf` numbers the names of the chip. Signals that do not matter are not asked for. */
export function compileLogic(expression: Expression, slotOf: (name: string) => number): Logic {
  const names = namesIn(expression);
  const slots = names.map(slotOf);
  if (names.length > MOST_UNKNOWN) return triedLogic(expression, names, slots);
  const table = truthTable(expression, names);
  const order = byUse(expression, names);
  const value = diagram(table, order, slots);
  const differences: (Diagram | undefined)[] = [];
  return {
    slots,
    possible: (sets) => follow(value, sets),
    dependsOn(slot, sets) {
      const position = slots.indexOf(slot);
      if (position < 0) return false;
      const difference = (differences[position] ??= diagram(
        table.map((bit, bits) => bit ^ (table[bits ^ (1 << position)] ?? 0)),
        order,
        slots,
      ));
      return (follow(difference, sets) & HIGH) !== 0;
    },
  };
}

/** A decision diagram: asks for one signal after the other until the value is certain. */
type Diagram = LevelSet | { readonly slot: number; readonly low: Diagram; readonly high: Diagram };

function follow(diagram: Diagram, sets: (slot: number) => LevelSet): LevelSet {
  let at = diagram;
  while (typeof at === "object") {
    const set = asRead(sets(at.slot));
    if (set === HIGH) at = at.high;
    else if (set === LOW) at = at.low;
    else {
      const low = follow(at.low, sets);
      return low === EITHER ? EITHER : low | follow(at.high, sets);
    }
  }
  return at;
}

/** The diagram of a truth table that asks for the signals in this order, each by its bit in the table's index. */
function diagram(table: Uint8Array, order: readonly number[], slots: readonly number[]): Diagram {
  const known = new Map<string, Diagram>();
  const numbers = new Map<Diagram, number>([
    [LOW, 0],
    [HIGH, 1],
  ]);
  const make = (depth: number, bits: number): Diagram => {
    const bit = order[depth];
    if (bit === undefined) return table[bits] ? HIGH : LOW;
    const low = make(depth + 1, bits);
    const high = make(depth + 1, bits | (1 << bit));
    if (low === high) return low;
    const key = `${depth} ${numbers.get(low)} ${numbers.get(high)}`;
    const same = known.get(key);
    if (same) return same;
    const made: Diagram = { slot: slots[bit] ?? 0, low, high };
    known.set(key, made);
    numbers.set(made, numbers.size);
    return made;
  };
  return make(0, 0);
}

/** The bits of the names, those first that the expression names most often: they choose among the others. */
function byUse(expression: Expression, names: readonly string[]): readonly number[] {
  const uses = new Map<string, number>();
  countNames(expression, uses);
  return names
    .map((name, bit) => ({ bit, count: uses.get(name) ?? 0 }))
    .sort((a, b) => b.count - a.count || a.bit - b.bit)
    .map(({ bit }) => bit);
}

/** Logic of so many signals that its values are found by trying. */
function triedLogic(expression: Expression, names: readonly string[], slots: readonly number[]): Logic {
  const index = new Map(names.map((name, i) => [name, i]));
  const at = (bits: number): 0 | 1 => evaluate(expression, (name) => ((bits >> (index.get(name) ?? 0)) & 1 ? 1 : 0));

  function possible(sets: (slot: number) => LevelSet): LevelSet {
    let base = 0;
    const unknown: number[] = [];
    for (let i = 0; i < slots.length; i++) {
      const set = asRead(sets(slots[i] ?? 0));
      if (set === HIGH) base |= 1 << i;
      else if (set !== LOW) unknown.push(1 << i);
    }
    if (unknown.length > MOST_UNKNOWN) return EITHER;
    let result = 0;
    for (let choice = 0; choice < 1 << unknown.length && result !== EITHER; choice++) {
      result |= at(base | spread(choice, unknown)) ? HIGH : LOW;
    }
    return result;
  }

  function dependsOn(slot: number, sets: (slot: number) => LevelSet): boolean {
    const position = slots.indexOf(slot);
    if (position < 0) return false;
    let base = 0;
    const unknown: number[] = [];
    for (let i = 0; i < slots.length; i++) {
      if (i === position) continue;
      const set = asRead(sets(slots[i] ?? 0));
      if (set === HIGH) base |= 1 << i;
      else if (set !== LOW) unknown.push(1 << i);
    }
    if (unknown.length > MOST_UNKNOWN) return true;
    for (let choice = 0; choice < 1 << unknown.length; choice++) {
      const bits = base | spread(choice, unknown);
      if (at(bits) !== at(bits | (1 << position))) return true;
    }
    return false;
  }

  return { slots, possible, dependsOn };
}

function countNames(expression: Expression, uses: Map<string, number>): void {
  switch (expression.kind) {
    case "constant":
      return;
    case "name":
      uses.set(expression.name, (uses.get(expression.name) ?? 0) + 1);
      return;
    case "not":
      return countNames(expression.of, uses);
    case "choose":
      for (const part of [expression.when, expression.then, expression.otherwise]) countNames(part, uses);
      return;
    default:
      for (const part of [expression.left, expression.right]) countNames(part, uses);
  }
}

function spread(choice: number, bits: readonly number[]): number {
  let result = 0;
  for (let i = 0; i < bits.length; i++) if ((choice >> i) & 1) result |= bits[i] ?? 0;
  return result;
}

function truthTable(expression: Expression, names: readonly string[]): Uint8Array {
  const table = new Uint8Array(1 << names.length);
  const index = new Map(names.map((name, i) => [name, i]));
  for (let bits = 0; bits < table.length; bits++) {
    table[bits] = evaluate(expression, (name) => ((bits >> (index.get(name) ?? 0)) & 1 ? 1 : 0));
  }
  return table;
}
