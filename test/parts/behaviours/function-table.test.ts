import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { behaviours } from "../../../src/parts/index.js";
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

/** Checked in another way: the adder by all its sums, cans by what they do in time. */
const withoutTable = ["283", "oscillator", "oscillator with enable"];

describe("the function tables of this folder", () => {
  const here = new URL("./", import.meta.url);
  const own = readdirSync(here).filter((name) => name.endsWith(".test.ts"));
  const text = [...own, "../../support/sheet-tables.ts"]
    .map((name) => readFileSync(new URL(name, here), "utf8"))
    .join("\n");

  it("cover every function on record", () => {
    const covered = new Set([...text.matchAll(/^ +\{? *function: "([^"]+)",/gm)].map(([, name]) => name));
    const bare = behaviours.map((one) => one.function).filter((name) => !covered.has(name));
    expect(bare).toEqual(withoutTable);
  });

  it("each name a source", () => {
    const tables = [...text.matchAll(/function: "[^"]+",\s+source: ("[^"]*"|[a-z]+)/g)].map(([, source]) => source);
    expect(tables.length).toBeGreaterThan(behaviours.length);
    expect(tables.filter((source) => source === '""')).toEqual([]);
  });
});
