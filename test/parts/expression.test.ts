import { describe, expect, it } from "vitest";
import { evaluate, namesIn, parseExpression } from "../../src/parts/index.js";

/** The values for every assignment of the names, in order of first appearance, the first name changing fastest. */
function truthTable(text: string): string {
  const expression = parseExpression(text);
  const names = namesIn(expression);
  return Array.from({ length: 2 ** names.length }, (_, row) =>
    evaluate(expression, (name) => ((row >> names.indexOf(name)) & 1) as 0 | 1),
  ).join("");
}

describe("expressions", () => {
  it.each([
    ["A", "01"],
    ["!A", "10"],
    ["A & B", "0001"],
    ["A | B", "0111"],
    ["A ^ B", "0110"],
    ["A ? B : C", "00011011"],
    ["1", "1"],
    ["!0 & A", "01"],
  ])("%s has the truth table %s", (text, table) => {
    expect(truthTable(text)).toBe(table);
  });

  it.each([
    ["!A & B", "(!A) & B"],
    ["A | B & C", "A | (B & C)"],
    ["A ^ B & C", "A ^ (B & C)"],
    ["A | B ^ C", "A | (B ^ C)"],
    ["A ? B : C ? D : E", "A ? B : (C ? D : E)"],
    ["A | B ? C : D", "(A | B) ? C : D"],
    ["A & B & C", "(A & B) & C"],
  ])("%s means %s", (text, meaning) => {
    expect(parseExpression(text)).toEqual(parseExpression(meaning));
  });

  it("name pins as the data sheets print them", () => {
    expect(namesIn(parseExpression("!SH/LD# & (A#/B ? QH' : 1D) | P=Q# ^ A>Bin"))).toEqual([
      "SH/LD#",
      "A#/B",
      "QH'",
      "1D",
      "P=Q#",
      "A>Bin",
    ]);
  });

  it.each([
    ["A &", 4],
    ["(A | B", 7],
    ["A B", 3],
    ["A ? B", 6],
    ["& A", 1],
    ["A @ B", 3],
    ["(A @ B)", 4],
    ["", 1],
  ])("'%s' is refused at column %i", (text, column) => {
    expect(() => parseExpression(text)).toThrow(new RegExp(`column ${column} `));
  });
});
