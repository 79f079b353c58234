import { describe, expect, it } from "vitest";
import { departuresFrom } from "../../support/function-table.js";

const source = "made up";

describe("the check of function tables", () => {
  it("finds the one wrong row of a table", () => {
    const wrong = `
      A B | Y
      H H | L
      L X | H
      X L | L`;
    const departures = departuresFrom({ function: "00", source, sections: ["1"], table: wrong });
    expect(departures.every((departure) => departure.includes("'X L | L': 1Y is 1, not 0"))).toBe(true);
    expect(departures.length).toBeGreaterThan(0);
  });

  it("finds an edge that clocks where the table says that it does not", () => {
    const wrong = `
      PRE# CLR# CLK D | Q
      H    H    ↑   H | Q0`;
    expect(departuresFrom({ function: "74", source, sections: ["1"], table: wrong })).not.toEqual([]);
  });

  it("finds an output that drives where the table says that it does not", () => {
    const wrong = `
      OE# A | Y
      L   X | Z`;
    expect(departuresFrom({ function: "125", source, sections: ["3"], table: wrong })).not.toEqual([]);
  });

  it("refuses pins that the part does not have", () => {
    expect(departuresFrom({ function: "74", source, sections: ["1"], table: "CK | Q\n L | Q0" })).toEqual([
      "74 has no pin 1CK",
    ]);
  });
});
