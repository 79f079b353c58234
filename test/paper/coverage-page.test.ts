import { describe, expect, test } from "vitest";
import { familyFigures } from "../../src/parts/index.js";
import { coveragePage } from "../../src/paper/index.js";

const page = coveragePage();
const lineOf = (start: string) => page.split("\n").find((line) => line.startsWith(start)) ?? "";

describe("the page of what is covered", () => {
  test("has a line for every function, with a cell for every family", () => {
    const cells = lineOf("| 163 ")
      .split("|")
      .map((cell) => cell.trim());
    expect(cells.slice(1, 3)).toEqual(["163", "4-bit binary counter, synchronous clear"]);
    expect(cells).toHaveLength(lineOf("| function").split("|").length);
    expect(cells[3]).toBe("all");
  });

  // The one sheet of it on record was read for its delays: its row has no required times at all.
  test("says which requirements a 74VHC164 lacks, by the groups of its pins", () => {
    const rows = familyFigures("VHC").rows.filter((row) => row.function === "164");
    expect(rows.flatMap(({ requirements }) => requirements)).toEqual([]);
    expect(lineOf("- **74VHC164** lacks")).toContain("`set-up of SER at CLK`");
    expect(lineOf("- **74VHC164** lacks")).toContain("`CLR# low width`");
    expect(lineOf("- **74VHC164** lacks")).not.toContain("CLK to Q");
  });

  test("names memories by organisation and grade, with the times that no sheet of theirs prints", () => {
    const cells = (sheet: string) =>
      (page.split("\n").find((line) => line.includes(sheet)) ?? "").split("|").map((cell) => cell.trim());
    expect(cells("HM6116-2").slice(1, 4)).toEqual(["2Kx8", "5 V", "120 ns"]);
    expect(cells("HM6116-2").at(-2)).toBe("all");
    // Its sheet prints no times of letting go at a write.
    expect(cells("IS62LV256-45").slice(1, 4)).toEqual(["32Kx8", "3.3 V", "45 ns"]);
    expect(cells("IS62LV256-45").at(-2)).toBe("lacks `tOW`, `tWHZ`");
  });
});
