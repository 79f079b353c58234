import { describe } from "vitest";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";

const quad = ["1", "2", "3", "4"];
const hex = ["1", "2", "3", "4", "5", "6"];

const invert = `
  A | Y
  H | L
  L | H`;
const nand2 = `
  A B | Y
  H H | L
  L X | H
  X L | H`;
const and2 = `
  A B | Y
  H H | H
  L X | L
  X L | L`;
const or2 = `
  A B | Y
  H X | H
  X H | H
  L L | L`;
const and4 = `
  A B C D | Y
  H H H H | H
  L X X X | L
  X L X X | L
  X X L X | L
  X X X L | L`;

const tables: readonly FunctionTable[] = [
  { function: "00", source: "Texas Instruments SCLS181H (from memory)", sections: quad, table: nand2 },
  {
    function: "02",
    source: "Philips 74HC/HCT02 (from memory)",
    sections: quad,
    table: `
      A B | Y
      H X | L
      X H | L
      L L | H`,
  },
  { function: "04", source: "Texas Instruments SCLS078G (from memory)", sections: hex, table: invert },
  { function: "08", source: "Texas Instruments SCLS081G (from memory)", sections: quad, table: and2 },
  {
    function: "10",
    source: "Texas Instruments SCLS083D (from memory)",
    sections: ["1", "2", "3"],
    table: `
      A B C | Y
      H H H | L
      L X X | H
      X L X | H
      X X L | H`,
  },
  {
    function: "11",
    source: "Philips 74HC/HCT11 (from memory)",
    sections: ["1", "2", "3"],
    table: `
      A B C | Y
      H H H | H
      L X X | L
      X L X | L
      X X L | L`,
  },
  { function: "14", source: "Texas Instruments SCLS085L (from memory)", sections: hex, table: invert },
  {
    function: "20",
    source: "Philips 74HC/HCT20 (from memory)",
    sections: ["1", "2"],
    table: `
      A B C D | Y
      H H H H | L
      L X X X | H
      X L X X | H
      X X L X | H
      X X X L | H`,
  },
  { function: "21", source: "Texas Instruments SCLS087E (from memory)", sections: ["1", "2"], table: and4 },
  {
    function: "27",
    source: "National Semiconductor LS databook 2-41 (from memory)",
    sections: ["1", "2", "3"],
    table: `
      A B C | Y
      H X X | L
      X H X | L
      X X H | L
      L L L | H`,
  },
  {
    function: "30",
    source: "Texas Instruments SCHS121E (from memory)",
    table: `
      A B C D E F G H | Y
      H H H H H H H H | L
      L X X X X X X X | H
      X L X X X X X X | H
      X X L X X X X X | H
      X X X L X X X X | H
      X X X X L X X X | H
      X X X X X L X X | H
      X X X X X X L X | H
      X X X X X X X L | H`,
  },
  { function: "32", source: "Texas Instruments SCLS200 (from memory)", sections: quad, table: or2 },
  {
    function: "86",
    source: "Texas Instruments SCLS100E (from memory)",
    sections: quad,
    table: `
      A B | Y
      L L | L
      L H | H
      H L | H
      H H | L`,
  },
  { function: "1G00", source: "Texas Instruments SCES212V (from memory)", table: nand2 },
  { function: "1G04", source: "Nexperia 74AHC_AHCT1G04 Rev. 07 (from memory)", table: invert },
  { function: "1G08", source: "Nexperia 74AHC_AHCT1G08 Rev. 7 (from memory)", table: and2 },
  { function: "1G32", source: "Diodes Incorporated DS35184 (from memory)", table: or2 },
  { function: "2G32", source: "Nexperia 74LVC2G32 (from memory)", sections: ["1", "2"], table: or2 },
];

describe("gates", () => {
  testFunctionTables(tables);
});
