import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  families,
  findPart,
  functionsOf,
  isPartProblem,
  listPartNumbers,
  nearestNames,
} from "../../src/parts/index.js";
import { atHome, part } from "./conditions.js";

describe("a logic part's number", () => {
  test.each(["74HC163", "SN74HC163N", "CD74HC163E", "MM74HC163N", "M74HC163", "74hc163", "SN 74HC163 AN", "74HC163P"])(
    "%s means the 163 of the HC family",
    (number) => {
      const found = part(number);
      expect(found.behaviour.function).toBe("163");
      expect(found.family).toBe("HC");
      expect(found.number).toBe(number);
    },
  );

  test("takes the longest family that fits: AHCT is not AHC", () => {
    expect(part("74AHCT574").family).toBe("AHCT");
    expect(part("74HCT4040").behaviour.function).toBe("4040");
    expect(part("SN74AHC1G00").behaviour.function).toBe("1G00");
  });

  test("that no family has is a problem with near numbers", () => {
    expect(findPart("74HC999", atHome)).toEqual({
      problem: "no function 999 in the catalogue",
      suggestions: expect.any(Array),
    });
    const typo = findPart("74HX163", atHome);
    expect(isPartProblem(typo) && typo.suggestions[0]).toBe("74HC163");
  });

  test("that this family lacks names the families that have it", () => {
    const found = findPart("74F574", atHome);
    expect(isPartProblem(found) && found.suggestions).toContain("74AHCT574");
  });

  test("by a maker without a sheet on record names the makers that have one", () => {
    const found = findPart("74HC163", { ...atHome, makers: new Map([["74HC163", "Nobody"]]) });
    expect(isPartProblem(found) && found.problem).toMatch(/by Nobody; on record: .*Texas Instruments/);
  });
});

test("LVC logic comes in no package that fits a breadboard", () => {
  expect(part("74LVC244").package).toMatchObject({ name: "SO-20", isDual: false });
  expect(part("74HC244").package).toMatchObject({ name: "DIP-20", isDual: true });
});

test("every family of logic has functions in the catalogue", () => {
  expect(families.filter((family) => functionsOf(family).length < 4)).toEqual([]);
});

test("any text is answered with a part or a problem in words, and never breaks", () => {
  const numbers = listPartNumbers();
  const garbled = fc
    .tuple(fc.constantFrom(...numbers), fc.nat(30), fc.string({ maxLength: 3 }))
    .map(([number, at, text]) => number.slice(0, at) + text + number.slice(at + 1));
  fc.assert(
    fc.property(fc.oneof(fc.string(), garbled), (text) => {
      const found = findPart(text, atHome);
      const unhelpful = isPartProblem(found)
        ? found.problem === "" || found.suggestions.some((suggestion) => isPartProblem(findPart(suggestion, atHome)))
        : found.behaviour.pins.length === 0;
      expect(unhelpful).toBe(false);
    }),
  );
});

describe("nearest names", () => {
  test("put the fewest changes first and count exchanged neighbours as one", () => {
    expect(nearestNames("62265-70", ["62256-70", "62256-10", "6264-70"])[0]).toBe("62256-70");
    expect(nearestNames("clkr", ["CLK", "CLR#", "QA"], 1)).toEqual(["CLK"]);
    expect(nearestNames("zzzz", ["CLK", "CLR#"])).toEqual([]);
  });

  test("find a name itself before all others", () => {
    const names = fc.uniqueArray(fc.stringMatching(/^[A-Z0-9#]{1,8}$/), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(names, (list) => {
        expect(nearestNames(list[0] ?? "", list)[0]).toBe(list[0]);
      }),
    );
  });
});
