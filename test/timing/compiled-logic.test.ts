import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Expression, evaluate, parseExpression } from "../../src/parts/index.js";
import { compileLogic } from "../../src/timing/compiled-logic.js";
import { EITHER, HIGH, LOW, type LevelSet, UNDRIVEN } from "../../src/timing/level-set.js";
import { NAMES, anyExpression } from "../support/any-expression.js";

/** Slots need not be in the order of the names, nor begin at 0. */
const slotOf = (name: string) => 10 - NAMES.indexOf(name);
const anyLevels = fc.tuple(...NAMES.map(() => fc.constantFrom(LOW, HIGH, EITHER, UNDRIVEN, LOW | UNDRIVEN)));

/** Every choice of levels, of signals that each have one level of their set. Nothing driven may read as either. */
function choices(sets: readonly LevelSet[]): readonly ReadonlyMap<string, 0 | 1>[] {
  return NAMES.reduce<readonly ReadonlyMap<string, 0 | 1>[]>(
    (found, name, index) => {
      const set = sets[index] ?? EITHER;
      const levels = ([0, 1] as const).filter((level) => set & UNDRIVEN || set & (level ? HIGH : LOW));
      return found.flatMap((choice) => levels.map((level) => new Map([...choice, [name, level]])));
    },
    [new Map()],
  );
}

const valueOf = (expression: Expression, levels: ReadonlyMap<string, 0 | 1>) =>
  evaluate(expression, (name) => levels.get(name) ?? 0);

describe("logic of which not every input is known", () => {
  test("can have exactly the levels that some choice of its inputs gives", () => {
    fc.assert(
      fc.property(anyExpression, anyLevels, (expression, sets) => {
        const logic = compileLogic(expression, slotOf);
        const byHand = choices(sets).reduce((all, one) => all | (valueOf(expression, one) ? HIGH : LOW), 0);
        expect(logic.possible((slot) => sets[10 - slot] ?? EITHER)).toBe(byHand);
      }),
      { numRuns: 2000 },
    );
  });

  test("depends on an input exactly if some choice of the others lets its two levels give two values", () => {
    fc.assert(
      fc.property(anyExpression, anyLevels, fc.constantFrom(...NAMES), (expression, sets, name) => {
        const logic = compileLogic(expression, slotOf);
        const byHand = choices(sets).some((one) => {
          const [low, high] = [new Map([...one, [name, 0 as const]]), new Map([...one, [name, 1 as const]])];
          return valueOf(expression, low) !== valueOf(expression, high);
        });
        expect(logic.dependsOn(slotOf(name), (slot) => sets[10 - slot] ?? EITHER)).toBe(byHand);
      }),
      { numRuns: 2000 },
    );
  });

  test("a signal that occurs twice has one level, not two: A or not A is high", () => {
    const logic = compileLogic(parseExpression("A | !A"), slotOf);
    expect(logic.possible(() => EITHER)).toBe(HIGH);
    expect(logic.dependsOn(slotOf("A"), () => EITHER)).toBe(false);
  });

  test("an input that a closed gate hides has no effect, and one of an open gate has", () => {
    const logic = compileLogic(parseExpression("A & B"), slotOf);
    const gate = (level: LevelSet) => (slot: number) => (slot === slotOf("B") ? level : EITHER);
    expect(logic.dependsOn(slotOf("A"), gate(LOW))).toBe(false);
    expect(logic.dependsOn(slotOf("A"), gate(HIGH))).toBe(true);
    expect(logic.dependsOn(slotOf("A"), gate(EITHER))).toBe(true);
    expect(logic.dependsOn(slotOf("C"), () => EITHER)).toBe(false);
  });

  test("of more than twelve unknown inputs nothing is ruled out", () => {
    const wide = Array.from({ length: 14 }, (_, n) => `I${n}`);
    const logic = compileLogic(parseExpression(`(${wide.join(" | ")}) & !I0 & I0`), (name) => wide.indexOf(name));
    const known = (count: number) => (slot: number) => (slot < count ? HIGH : EITHER);
    expect(logic.possible(known(0))).toBe(EITHER);
    expect(logic.dependsOn(13, known(0))).toBe(true);
    expect(logic.possible(known(2))).toBe(LOW);
    expect(logic.dependsOn(13, known(2))).toBe(false);
  });
});
