import { describe, expect, test } from "vitest";
import { partsList, refRanges } from "../../src/paper/parts-list.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";

describe("the parts list", () => {
  const lines = partsList(boardFrom(harbourLamp)).map(({ quantity, part, refs, package: name, advised }) =>
    [quantity, part, refs.join(" "), name, ...(advised ? ["advised"] : [])].join(", "),
  );

  test("counts chips by part number, then resistors, then capacitors", () => {
    expect(lines).toEqual([
      "1, OSC-25.175MHz, X1, DIP-14 can",
      "2, 74HC163, U1 U2, DIP-16",
      "1, 74HC244, U3, DIP-20",
      "1, 74HC00, U4, DIP-14",
      "1, 74HC74, U5, DIP-14",
      "1, 470 ohm, R1, ",
      "1, 10 kohm, R2, ",
      "2, 100 nF, C1 C2, ",
      "1, 47 uF, C9, ",
      "1, 1 uF, C10, ",
      "4, 100 nF, , , advised",
    ]);
  });
});

test("three refs in a row become a range, two do not", () => {
  expect(refRanges(["C2", "C3", "C4", "C6", "C7", "U1"])).toBe("C2 to C4, C6, C7, U1");
  expect(refRanges(["U9", "U10", "U11"])).toBe("U9 to U11");
  expect(refRanges([])).toBe("");
});
