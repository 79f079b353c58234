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

/** Compiles an expression; `slotOf` numbers the names of the chip. */
export function compileLogic(expression: Expression, slotOf: (name: string) => number): Logic {
  const names = namesIn(expression);
  const slots = names.map(slotOf);
  const index = new Map(names.map((name, i) => [name, i]));
  const table = names.length <= MOST_UNKNOWN ? truthTable(expression, names) : undefined;
  const at = (bits: number): 0 | 1 =>
    table ? (table[bits] ? 1 : 0) : evaluate(expression, (name) => ((bits >> (index.get(name) ?? 0)) & 1 ? 1 : 0));

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
