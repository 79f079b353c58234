import { describe } from "vitest";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";
import { sheetOf138 } from "../../support/sheet-tables.js";

const tables: readonly FunctionTable[] = [
  {
    function: "157",
    source: "Texas Instruments SCLS113F (from memory)",
    table: `
      G# A#/B | 1Y 2Y 3Y 4Y
      H  X    | L  L  L  L
      L  L    | 1a 2a 3a 4a
      L  H    | 1b 2b 3b 4b`,
  },
  {
    function: "257",
    source: "NXP 74HC_HCT257 Rev. 5 (from memory)",
    table: `
      OE# A#/B | 1Y 2Y 3Y 4Y
      H   X    | Z  Z  Z  Z
      L   L    | 1a 2a 3a 4a
      L   H    | 1b 2b 3b 4b`,
  },
  {
    function: "1G157",
    source: "Nexperia 74LVC1G157-Q100 Rev. 1 (from memory)",
    table: `
      A#/B A B | Y
      L    L X | L
      L    H X | H
      H    X L | L
      H    X H | H`,
  },
  {
    function: "151",
    source: "Texas Instruments SCLS110E (from memory)",
    table: `
      C B A G# | Y  W
      X X X H  | L  H
      L L L L  | d0 !d0
      L L H L  | d1 !d1
      L H L L  | d2 !d2
      L H H L  | d3 !d3
      H L L L  | d4 !d4
      H L H L  | d5 !d5
      H H L L  | d6 !d6
      H H H L  | d7 !d7`,
  },
  {
    function: "153",
    source: "Texas Instruments SCLS112D, first half (from memory)",
    table: `
      B A 1C0 1C1 1C2 1C3 1G# | 1Y
      X X X   X   X   X   H   | L
      L L L   X   X   X   L   | L
      L L H   X   X   X   L   | H
      L H X   L   X   X   L   | L
      L H X   H   X   X   L   | H
      H L X   X   L   X   L   | L
      H L X   X   H   X   L   | H
      H H X   X   X   L   L   | L
      H H X   X   X   H   L   | H`,
  },
  {
    function: "153",
    source: "Texas Instruments SCLS112D, second half (from memory)",
    table: `
      B A 2G# | 2Y
      X X H   | L
      L L L   | 2c0
      L H L   | 2c1
      H L L   | 2c2
      H H L   | 2c3`,
  },
  sheetOf138,
  {
    function: "139",
    source: "Texas Instruments SCLS108 (from memory)",
    sections: ["1", "2"],
    table: `
      G# B A | Y0# Y1# Y2# Y3#
      H  X X | H   H   H   H
      L  L L | L   H   H   H
      L  L H | H   L   H   H
      L  H L | H   H   L   H
      L  H H | H   H   H   L`,
  },
];

describe("multiplexers and decoders", () => {
  testFunctionTables(tables);
});
