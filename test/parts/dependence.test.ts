import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type Expression,
  type Levels,
  EITHER,
  HIGH,
  LOW,
  behaviourOf,
  dependsOn,
  evaluate,
  parseExpression,
  possibleLevels,
  responseTo,
} from "../../src/parts/index.js";
import { NAMES, anyExpression } from "../support/any-expression.js";

const anyKnown = fc
  .tuple(...NAMES.map(() => fc.constantFrom<Levels>(LOW, HIGH, EITHER)))
  .map((levels) => new Map(NAMES.map((name, i) => [name, levels[i] ?? EITHER] as const)));

/** Every assignment within what is known. */
function assignments(known: ReadonlyMap<string, Levels>): readonly ReadonlyMap<string, 0 | 1>[] {
  return Array.from({ length: 2 ** NAMES.length }, (_, n) =>
    NAMES.map((name, i) => [name, ((n >> i) & 1) as 0 | 1] as const),
  )
    .filter((pairs) => pairs.every(([name, level]) => ((known.get(name) ?? EITHER) & (level ? HIGH : LOW)) !== 0))
    .map((pairs) => new Map(pairs));
}

const at = (expression: Expression, levels: ReadonlyMap<string, 0 | 1>) =>
  evaluate(expression, (name) => levels.get(name) ?? 0);

describe("dependence", () => {
  it("says exactly which levels an expression can have", () => {
    fc.assert(
      fc.property(anyExpression, anyKnown, (expression, known) => {
        const levels = assignments(known).reduce((all, one) => all | (at(expression, one) ? HIGH : LOW), 0);
        expect(possibleLevels(expression, known)).toBe(levels);
      }),
      { numRuns: 2000 },
    );
  });

  it("says exactly whether a change of one name can change an expression, and which way", () => {
    fc.assert(
      fc.property(anyExpression, anyKnown, fc.constantFrom(...NAMES), (expression, known, name) => {
        const pairs = assignments(new Map(known).set(name, EITHER)).map((levels) => [
          at(expression, new Map(levels).set(name, 0)),
          at(expression, new Map(levels).set(name, 1)),
        ]);
        const rises = pairs.some(([low, high]) => low === 0 && high === 1);
        const falls = pairs.some(([low, high]) => low === 1 && high === 0);
        expect(dependsOn(expression, name, known)).toBe(rises || falls);
        expect(responseTo(expression, name, known)).toEqual({ rises, falls });
      }),
      { numRuns: 2000 },
    );
  });

  it("stays exact over many names that each occur once", () => {
    const wide = parseExpression(Array.from({ length: 40 }, (_, i) => `A${i}`).join(" & "));
    expect(possibleLevels(wide)).toBe(EITHER);
    expect(dependsOn(wide, "A39", new Map([["A0", LOW]]))).toBe(false);
    expect(dependsOn(wide, "A39", new Map([["A0", HIGH]]))).toBe(true);
  });

  it("may say yes too often where very many names recur, and never hangs", () => {
    const names = Array.from({ length: 30 }, (_, i) => `A${i}`);
    const parity = names.join(" ^ ");
    const alwaysTrue = parseExpression(`!((${parity}) ^ (${parity}))`);
    expect(possibleLevels(alwaysTrue)).toBe(EITHER);
  });

  it("knows that a 163 reads its data only while it loads, and its enables only while it counts", () => {
    const bit = behaviourOf("163")?.storage.find(({ name }) => name === "qB");
    if (!bit) throw new Error("no bit qB");
    const reads = (pin: string, known: Readonly<Record<string, Levels>>) =>
      dependsOn(bit.next, pin, new Map(Object.entries(known)));
    expect(reads("B", { "LOAD#": LOW })).toBe(true);
    expect(reads("B", { "LOAD#": HIGH })).toBe(false);
    expect(reads("B", { "LOAD#": LOW, "CLR#": LOW })).toBe(false);
    expect(reads("ENT", { "LOAD#": HIGH, ENP: HIGH, qA: HIGH })).toBe(true);
    expect(reads("ENT", { "LOAD#": HIGH, ENP: LOW })).toBe(false);
    expect(reads("ENT", { "LOAD#": HIGH, ENP: HIGH, qA: LOW })).toBe(false);
    expect(reads("CLR#", { "LOAD#": LOW, B: LOW })).toBe(false);
  });
});
