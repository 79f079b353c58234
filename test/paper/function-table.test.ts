import { describe, expect, it } from "vitest";
import { behaviours } from "../../src/parts/index.js";
import { functionView } from "../../src/paper/function-table.js";
import { sheetOf138, sheetOf194 } from "../support/sheet-tables.js";
import { overlap, printedTable, rowsOf, sameOutputs, sheetRows, within } from "./printed-table.js";

interface SheetTable {
  readonly function: string;
  readonly source: string;
  /** Which of the printed tables, from 0. */
  readonly index?: number;
  readonly rows: string;
}

/** `Q0` is what output Q was before; a small letter the level at that input. */
const sheets: readonly SheetTable[] = [
  {
    function: "163",
    source: "Texas Instruments SCHS154D, mode select table (from memory)",
    rows: `
      CLR# LOAD# ENP ENT CLK | QA    QB    QC    QD
      L    X     X   X   ↑   | L     L     L     L
      H    L     X   X   ↑   | a     b     c     d
      H    H     H   H   ↑   | count count count count
      H    H     L   X   ↑   | QA0   QB0   QC0   QD0
      H    H     X   L   ↑   | QA0   QB0   QC0   QD0
      X    X     X   X   no↑ | QA0   QB0   QC0   QD0`,
  },
  {
    function: "163",
    source: "Texas Instruments SCHS154D: carry is high at the count of 15 while ENT is high (from memory)",
    index: 1,
    rows: `
      ENT QA QB QC QD | RCO
      H   H  H  H  H  | H
      L   X  X  X  X  | L
      X   L  X  X  X  | L
      X   X  L  X  X  | L
      X   X  X  L  X  | L
      X   X  X  X  L  | L`,
  },
  {
    function: "161",
    source: "Nexperia 74HC161 Rev. 4, function table (from memory)",
    rows: `
      CLR# LOAD# ENP ENT CLK | QA    QB    QC    QD
      L    X     X   X   X   | L     L     L     L
      H    L     X   X   ↑   | a     b     c     d
      H    H     H   H   ↑   | count count count count
      H    H     L   X   ↑   | QA0   QB0   QC0   QD0
      H    H     X   L   ↑   | QA0   QB0   QC0   QD0
      H    X     X   X   no↑ | QA0   QB0   QC0   QD0`,
  },
  {
    function: "74",
    source: "Texas Instruments SCLS094E, function table (from memory)",
    rows: `
      PRE# CLR# CLK D | Q  Q#
      L    H    X   X | H  L
      H    L    X   X | L  H
      L    L    X   X | H  H
      H    H    ↑   H | H  L
      H    H    ↑   L | L  H
      H    H    no↑ X | Q0 Q0#`,
  },
  {
    function: "166",
    source: "Texas Instruments SN74ALS166 SDAS156D, function table with its inside outputs QA and QB (from memory)",
    rows: `
      CLR# SH/LD# CLKINH CLK SER | qA  qB  QH
      L    X      X      X   X   | L   L   L
      H    X      L      L   X   | qA0 qB0 QH0
      H    L      L      ↑   X   | a   b   h
      H    H      L      ↑   H   | H   qA0 qG0
      H    H      L      ↑   L   | L   qA0 qG0
      H    X      H      ↑   X   | qA0 qB0 QH0`,
  },
  {
    function: "245",
    source: "Texas Instruments SCLS131, function table (from memory)",
    rows: `
      OE# DIR | A B
      L   L   | b Z
      L   H   | Z a
      H   X   | Z Z`,
  },
  {
    function: "574",
    source: "Texas Instruments SCLS148F, function table (from memory)",
    rows: `
      OE# CLK D | Q
      L   ↑   H | H
      L   ↑   L | L
      L   no↑ X | Q0
      H   X   X | Z`,
  },
  { ...sheetOf138, rows: sheetOf138.table },
  { ...sheetOf194, rows: sheetOf194.table },
  {
    function: "157",
    source: "Texas Instruments SCLS113F, function table (from memory)",
    rows: `
      G# A#/B A B | Y
      H  X    X X | L
      L  L    L X | L
      L  L    H X | H
      L  H    X L | L
      L  H    X H | H`,
  },
  {
    function: "173",
    source: "Texas Instruments CD74HC173, truth table (from memory)",
    rows: `
      M# N# CLR CLK G1# G2# D | Q
      H  X  X   X   X   X   X | Z
      X  H  X   X   X   X   X | Z
      L  L  H   X   X   X   X | L
      L  L  L   no↑ X   X   X | Q0
      L  L  L   ↑   H   X   X | Q0
      L  L  L   ↑   X   H   X | Q0
      L  L  L   ↑   L   L   L | L
      L  L  L   ↑   L   L   H | H`,
  },
  {
    function: "193",
    source: "Texas Instruments SCLS122D (from memory)",
    rows: `
      CLR LOAD# UP DOWN | QA    QB    QC    QD
      H   X     X  X    | L     L     L     L
      L   L     X  X    | a     b     c     d
      L   H     ↑  H    | count count count count
      L   H     H  ↑    | count count count count
      L   H     H  H    | QA0   QB0   QC0   QD0`,
  },
];

describe("the function table that a part page prints", () => {
  it.each(sheets)("of a $function has every row of $source", ({ function: number, index, rows }) => {
    const printed = rowsOf(printedTable(number, index));
    for (const row of sheetRows(rows)) {
      const reached = printed.filter((one) => overlap(one, row));
      expect(reached).not.toEqual([]);
      expect(reached.filter((one) => !sameOutputs(row, one))).toEqual([]);
    }
  });

  it.each(sheets.filter(({ function: number }) => !["166", "193"].includes(number)))(
    "of a $function says nothing that $source does not",
    ({ function: number, index, rows }) => {
      const sheet = sheetRows(rows);
      for (const row of rowsOf(printedTable(number, index))) {
        const reached = sheet.filter((one) => overlap(one, row));
        expect(reached).not.toEqual([]);
        expect(reached.filter((one) => !sameOutputs(one, row))).toEqual([]);
      }
    },
  );

  it("of a 166 says of the second clock input what the sheet's OR gate says: it clocks too, while CLK is low", () => {
    const beyond = rowsOf(printedTable("166")).filter((row) => row.inputs.get("CLKINH") === "↑");
    const clocked = rowsOf(printedTable("166")).filter(
      (row) => row.inputs.get("CLK") === "↑" && row.inputs.get("CLKINH") === "L",
    );
    expect(beyond.map(({ outputs }) => [...outputs.values()])).toEqual(
      clocked.map(({ outputs }) => [...outputs.values()]),
    );
    expect(beyond.every((row) => row.inputs.get("CLK") === "L")).toBe(true);
  });

  it("of every part has a row for each state of its inputs, and no two that disagree", () => {
    for (const behaviour of behaviours) {
      for (const table of functionView(behaviour).tables) {
        const rows = rowsOf(table);
        const disagreeing = rows.flatMap((row, i) =>
          rows.slice(i + 1).filter((other) => overlap(row, other) && !bothMove(row, other) && !sameOutputs(row, other)),
        );
        expect(disagreeing).toEqual([]);
        const marks = new Set(rows.flatMap(({ inputs }) => [...inputs.values()]));
        const levels = table.inputs.map((name) => (hasEdge(rows, name) ? ["L", "H", edgeIn(marks)] : ["L", "H"]));
        for (const state of combinations(levels).filter((cells) => cells.filter((c) => "↑↓".includes(c)).length < 2)) {
          const inputs = new Map(table.inputs.map((name, n) => [name, state[n] ?? ""]));
          const found = rows.some((row) => within({ inputs, outputs: new Map() }, row));
          expect(found, `${behaviour.function}: ${state.join(" ")}`).toBe(true);
        }
      }
    }
  });

  it("of a part that needs too many rows gives way to its logic", () => {
    const [adder, comparator] = ["283", "688"].map((n) => behaviours.find((one) => one.function === n));
    expect(adder && functionView(adder).logic.map((line) => line.split(" =")[0])).toContain("COUT");
    expect(comparator && functionView(comparator).tables).toEqual([]);
  });

  it("of alike sections is printed once and names them", () => {
    expect(printedTable("74").about).toBe("each of 2 alike, 1Q, 2Q; 1Q#, 2Q#");
    expect(printedTable("574").about).toBe("each of 8 alike, 1Q to 8Q");
    expect(printedTable("595", 1).about).toBe("each of 8 alike, QA to QH");
  });

  it("of a memory says when it reads, writes and lets go", () => {
    const rows = printedTable("32Kx8").rows.map(({ inputs, outputs }) => [...inputs, ...outputs].join(" "));
    expect(printedTable("32Kx8").inputs).toEqual(["CE#", "OE#", "WE#"]);
    expect(rows).toEqual(["H X X Z", "L H H Z", "L L H data out", "L X L data in"]);
  });

  it("of a dual-port memory is one for each port", () => {
    const [left, right] = [printedTable("2Kx8 dual-port"), printedTable("2Kx8 dual-port", 1)];
    expect(left.rows).toEqual(right.rows);
    expect(left.inputs.filter((pin) => right.inputs.includes(pin))).toEqual([]);
  });
});

function hasEdge(rows: ReturnType<typeof rowsOf>, name: string): boolean {
  return rows.some(({ inputs }) => /[↑↓]/.test(inputs.get(name) ?? ""));
}

function edgeIn(marks: ReadonlySet<string>): string {
  return [...marks].some((mark) => mark.includes("↓")) ? "↓" : "↑";
}

/** Rows that only meet where two clocks move at once, which no row speaks of. */
function bothMove(one: ReturnType<typeof rowsOf>[number], other: typeof one): boolean {
  const moving = (row: typeof one) =>
    [...row.inputs].filter(([, mark]) => mark === "↑" || mark === "↓").map(([n]) => n);
  const all = new Set([...moving(one), ...moving(other)]);
  return all.size > 1;
}

function combinations(choices: readonly (readonly string[])[]): readonly (readonly string[])[] {
  return choices.reduce<readonly (readonly string[])[]>(
    (rows, marks) => rows.flatMap((row) => marks.map((one) => [...row, one])),
    [[]],
  );
}
