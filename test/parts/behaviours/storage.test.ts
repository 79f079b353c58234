import { describe } from "vitest";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";

const halves = ["1", "2"];
const dFlipFlop = `
  PRE# CLR# CLK D | Q  Q#
  L    H    X   X | H  L
  H    L    X   X | L  H
  L    L    X   X | H  H
  H    H    ↑   H | H  L
  H    H    ↑   L | L  H
  H    H    L   X | Q0 !Q0
  H    H    H   X | Q0 !Q0
  H    H    ↓   X | Q0 !Q0`;

const bits = (count: number, mark: (n: number) => string) =>
  Array.from({ length: count }, (_, i) => mark(i + 1)).join(" ");
const outputs = (count: number) => bits(count, (n) => `${n}Q`);
const data = (count: number) => bits(count, (n) => `${n}d`);
const kept = (count: number) => bits(count, (n) => `${n}Q0`);
const low = (count: number) => bits(count, () => "L");
const undriven = (count: number) => bits(count, () => "Z");

const withClear = (count: number) => `
  CLR# CLK | ${outputs(count)}
  L    X   | ${low(count)}
  H    ↑   | ${data(count)}
  H    L   | ${kept(count)}
  H    H   | ${kept(count)}
  H    ↓   | ${kept(count)}`;

const threeState = `
  OE# CLK | ${outputs(8)}
  L   ↑   | ${data(8)}
  L   L   | ${kept(8)}
  L   H   | ${kept(8)}
  L   ↓   | ${kept(8)}
  H   X   | ${undriven(8)}`;

const transparent = `
  OE# LE | ${outputs(8)}
  L   H  | ${data(8)}
  L   L  | ${kept(8)}
  H   X  | ${undriven(8)}`;

const tables: readonly FunctionTable[] = [
  { function: "74", source: "Texas Instruments SCLS094E (from memory)", sections: halves, table: dFlipFlop },
  { function: "1G74", source: "common practice", table: dFlipFlop },
  {
    function: "1G79",
    source: "Nexperia 74AHC_AHCT1G79 Rev. 6 (from memory)",
    table: `
      CLK D | Q
      ↑   H | H
      ↑   L | L
      L   X | Q0
      H   X | Q0`,
  },
  {
    function: "1G80",
    source: "Texas Instruments SCES221S (from memory)",
    table: `
      CLK D | Q#
      ↑   H | L
      ↑   L | H
      L   X | Q#0
      H   X | Q#0`,
  },
  {
    function: "107",
    source: "Philips 74HC/HCT107 (from memory)",
    sections: halves,
    table: `
      CLR# CLK J K | Q   Q#
      L    X   X X | L   H
      H    ↓   L L | Q0  !Q0
      H    ↓   H L | H   L
      H    ↓   L H | L   H
      H    ↓   H H | !Q0 Q0
      H    L   X X | Q0  !Q0
      H    H   X X | Q0  !Q0
      H    ↑   X X | Q0  !Q0`,
  },
  {
    function: "109",
    source: "Texas Instruments SCLS470C (from memory)",
    sections: halves,
    table: `
      PRE# CLR# CLK J K# | Q   Q#
      L    H    X   X X  | H   L
      H    L    X   X X  | L   H
      L    L    X   X X  | H   H
      H    H    ↑   L L  | L   H
      H    H    ↑   H L  | !Q0 Q0
      H    H    ↑   L H  | Q0  !Q0
      H    H    ↑   H H  | H   L
      H    H    L   X X  | Q0  !Q0`,
  },
  {
    function: "112",
    source: "Texas Instruments SCLS099I (from memory)",
    sections: halves,
    table: `
      PRE# CLR# CLK J K | Q   Q#
      L    H    X   X X | H   L
      H    L    X   X X | L   H
      L    L    X   X X | H   H
      H    H    ↓   L L | Q0  !Q0
      H    H    ↓   H L | H   L
      H    H    ↓   L H | L   H
      H    H    ↓   H H | !Q0 Q0
      H    H    H   X X | Q0  !Q0`,
  },
  {
    function: "173",
    source: "Texas Instruments SCHS158F (from memory)",
    table: `
      M# N# CLR CLK G1# G2# | 1Q  2Q  3Q  4Q
      L  L  H   X   X   X   | L   L   L   L
      L  L  L   L   X   X   | 1Q0 2Q0 3Q0 4Q0
      L  L  L   ↑   H   X   | 1Q0 2Q0 3Q0 4Q0
      L  L  L   ↑   X   H   | 1Q0 2Q0 3Q0 4Q0
      L  L  L   ↑   L   L   | 1d  2d  3d  4d
      H  X  X   X   X   X   | Z   Z   Z   Z
      X  H  X   X   X   X   | Z   Z   Z   Z`,
  },
  { function: "174", source: "Fairchild DS005318 (from memory)", table: withClear(6) },
  {
    function: "175",
    source: "Texas Instruments SCLS299D (from memory)",
    table: `
      CLR# CLK | 1Q  1Q#  2Q  2Q#  3Q  3Q#  4Q  4Q#
      L    X   | L   H    L   H    L   H    L   H
      H    ↑   | 1d  !1d  2d  !2d  3d  !3d  4d  !4d
      H    L   | 1Q0 !1Q0 2Q0 !2Q0 3Q0 !3Q0 4Q0 !4Q0`,
  },
  { function: "273", source: "Texas Instruments SCLS136F (from memory)", table: withClear(8) },
  { function: "374", source: "Texas Instruments SCHS183E (from memory)", table: threeState },
  { function: "574", source: "Texas Instruments SCLS148F (from memory)", table: threeState },
  {
    function: "377",
    source: "Texas Instruments SCLS307B (from memory)",
    table: `
      CLKEN# CLK | ${outputs(8)}
      H      ↑   | ${kept(8)}
      L      ↑   | ${data(8)}
      X      L   | ${kept(8)}
      X      H   | ${kept(8)}`,
  },
  { function: "373", source: "Texas Instruments SCLS140G (from memory)", table: transparent },
  { function: "573", source: "Texas Instruments SCLS147F (from memory)", table: transparent },
];

describe("flip-flops, registers and latches", () => {
  testFunctionTables(tables);
});
