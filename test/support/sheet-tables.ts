import type { FunctionTable } from "./function-table.js";

/** Function tables of data sheets that both the behaviours and the printed tables are held against. */

export const sheetOf138: FunctionTable = {
  function: "138",
  source: "Texas Instruments SCLS171, function table (from memory)",
  table: `
    G1 G2A# G2B# C B A | Y0# Y1# Y2# Y3# Y4# Y5# Y6# Y7#
    X  H    X    X X X | H   H   H   H   H   H   H   H
    X  X    H    X X X | H   H   H   H   H   H   H   H
    L  X    X    X X X | H   H   H   H   H   H   H   H
    H  L    L    L L L | L   H   H   H   H   H   H   H
    H  L    L    L L H | H   L   H   H   H   H   H   H
    H  L    L    L H L | H   H   L   H   H   H   H   H
    H  L    L    L H H | H   H   H   L   H   H   H   H
    H  L    L    H L L | H   H   H   H   L   H   H   H
    H  L    L    H L H | H   H   H   H   H   L   H   H
    H  L    L    H H L | H   H   H   H   H   H   L   H
    H  L    L    H H H | H   H   H   H   H   H   H   L`,
};

export const sheetOf194: FunctionTable = {
  function: "194",
  source: "Texas Instruments SCHS164G, mode select table (from memory)",
  table: `
    CLR# S1 S0 CLK SLSER SRSER | QA  QB  QC  QD
    L    X  X  X   X     X     | L   L   L   L
    H    X  X  no↑ X     X     | QA0 QB0 QC0 QD0
    H    H  H  ↑   X     X     | a   b   c   d
    H    L  H  ↑   X     H     | H   QA0 QB0 QC0
    H    L  H  ↑   X     L     | L   QA0 QB0 QC0
    H    H  L  ↑   H     X     | QB0 QC0 QD0 H
    H    H  L  ↑   L     X     | QB0 QC0 QD0 L
    H    L  L  ↑   X     X     | QA0 QB0 QC0 QD0`,
};
