import { describe } from "vitest";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";

const activeLow = `
  OE# A | Y
  L   H | H
  L   L | L
  H   X | Z`;
const activeHigh = `
  OE A | Y
  H  H | H
  H  L | L
  L  X | Z`;

const fourOfEight = (sign: "" | "!") => `
  OE# A1 A2 A3 A4 | Y1     Y2     Y3     Y4
  L   X  X  X  X  | ${sign}a1 ${sign}a2 ${sign}a3 ${sign}a4
  H   X  X  X  X  | Z      Z      Z      Z`;

const eight = (sign: "" | "!") => `
  OE1# OE2# | Y1     Y2     Y3     Y4     Y5     Y6     Y7     Y8
  L    L    | ${[1, 2, 3, 4, 5, 6, 7, 8].map((n) => `${sign}a${n}`).join(" ")}
  H    X    | Z      Z      Z      Z      Z      Z      Z      Z
  X    H    | Z      Z      Z      Z      Z      Z      Z      Z`;

const tables: readonly FunctionTable[] = [
  {
    function: "125",
    source: "NXP 74HC_HCT125 Rev. 5 (from memory)",
    sections: ["1", "2", "3", "4"],
    table: activeLow,
  },
  { function: "126", source: "Philips 74HC/HCT126 (from memory)", sections: ["1", "2", "3", "4"], table: activeHigh },
  { function: "1G125", source: "Texas Instruments SCLS378P (from memory)", table: activeLow },
  { function: "1G126", source: "Nexperia 74LVC1G126 Rev. 13 (from memory)", table: activeHigh },
  { function: "244", source: "Texas Instruments SCLS130F (from memory)", sections: ["1", "2"], table: fourOfEight("") },
  {
    function: "240",
    source: "Texas Instruments SCHS167E (from memory)",
    sections: ["1", "2"],
    table: fourOfEight("!"),
  },
  {
    function: "241",
    source: "Texas Instruments SCHS167E, first four (from memory)",
    sections: ["1"],
    table: fourOfEight(""),
  },
  {
    function: "241",
    source: "Texas Instruments SCHS167E, second four (from memory)",
    sections: ["2"],
    table: `
      OE A1 A2 A3 A4 | Y1 Y2 Y3 Y4
      H  X  X  X  X  | a1 a2 a3 a4
      L  X  X  X  X  | Z  Z  Z  Z`,
  },
  { function: "541", source: "Texas Instruments SCLS305D (from memory)", table: eight("") },
  { function: "540", source: "Texas Instruments SCHS189E (from memory)", table: eight("!") },
  {
    function: "245",
    source: "Texas Instruments SCLS131 (from memory)",
    table: `
      OE# DIR | A1 A2 A3 A4 A5 A6 A7 A8 B1 B2 B3 B4 B5 B6 B7 B8
      L   L   | b1 b2 b3 b4 b5 b6 b7 b8 Z  Z  Z  Z  Z  Z  Z  Z
      L   H   | Z  Z  Z  Z  Z  Z  Z  Z  a1 a2 a3 a4 a5 a6 a7 a8
      H   X   | Z  Z  Z  Z  Z  Z  Z  Z  Z  Z  Z  Z  Z  Z  Z  Z`,
  },
];

describe("buffers and transceivers", () => {
  testFunctionTables(tables);
});
