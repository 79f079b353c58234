import { describe, expect, it } from "vitest";
import { behaviourOf } from "../../../src/parts/index.js";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";
import { type Level, zeroDelayChip } from "../../support/zero-delay-chip.js";

const tables: readonly FunctionTable[] = [
  {
    function: "85",
    source: "Philips 74HC/HCT85 (from memory)",
    table: `
      A3 B3 A2 B2 A1 B1 A0 B0 A>Bin A<Bin A=Bin | A>Bout A<Bout A=Bout
      H  L  X  X  X  X  X  X  X     X     X     | H      L      L
      L  H  X  X  X  X  X  X  X     X     X     | L      H      L
      H  H  H  L  X  X  X  X  X     X     X     | H      L      L
      L  L  L  H  X  X  X  X  X     X     X     | L      H      L
      L  L  H  H  H  L  X  X  X     X     X     | H      L      L
      H  H  L  L  L  H  X  X  X     X     X     | L      H      L
      H  H  H  H  L  L  H  L  X     X     X     | H      L      L
      L  L  L  L  H  H  L  H  X     X     X     | L      H      L
      H  H  L  L  H  H  L  L  H     L     L     | H      L      L
      L  L  H  H  L  L  H  H  L     H     L     | L      H      L
      H  H  H  H  H  H  H  H  X     X     H     | L      L      H
      L  L  L  L  L  L  L  L  H     H     L     | L      L      L
      H  H  L  L  L  L  H  H  L     L     L     | H      H      L`,
  },
  {
    function: "688",
    source: "Texas Instruments SCHS196C (from memory)",
    table: `
      OE# P0 Q0 P1 Q1 P2 Q2 P3 Q3 P4 Q4 P5 Q5 P6 Q6 P7 Q7 | P=Q#
      H   X  X  X  X  X  X  X  X  X  X  X  X  X  X  X  X  | H
      L   L  L  L  L  L  L  L  L  L  L  L  L  L  L  L  L  | L
      L   H  H  H  H  H  H  H  H  H  H  H  H  H  H  H  H  | L
      L   H  L  X  X  X  X  X  X  X  X  X  X  X  X  X  X  | H
      L   L  H  X  X  X  X  X  X  X  X  X  X  X  X  X  X  | H`,
  },
];

const bits = (name: string, value: number, from: number, count: number) =>
  Object.fromEntries(
    Array.from({ length: count }, (_, i) => [`${name}${from + i}`, ((value >> i) & 1) as Level] as const),
  );

function chipOf(number: string, levels: Readonly<Record<string, Level>>) {
  const behaviour = behaviourOf(number);
  if (!behaviour) throw new Error(`no behaviour for ${number}`);
  return zeroDelayChip(behaviour, { levels });
}

describe("comparators and adders", () => {
  testFunctionTables(tables);

  it("the 283 adds all 512 sums", () => {
    const wrong: string[] = [];
    for (let a = 0; a < 16; a++) {
      for (let b = 0; b < 16; b++) {
        for (const carry of [0, 1] as const) {
          const chip = chipOf("283", { ...bits("A", a, 1, 4), ...bits("B", b, 1, 4), CIN: carry });
          const sum = ["S1", "S2", "S3", "S4", "COUT"].reduce((s, pin, i) => s + Number(chip.drives(pin)) * 2 ** i, 0);
          if (sum !== a + b + carry) wrong.push(`${a} + ${b} + ${carry} gives ${sum}`);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  it("the 85 compares all 256 pairs, alone and behind a lower stage", () => {
    const wrong: string[] = [];
    for (let a = 0; a < 16; a++) {
      for (let b = 0; b < 16; b++) {
        for (const below of [-1, 0, 1]) {
          const chip = chipOf("85", {
            ...bits("A", a, 0, 4),
            ...bits("B", b, 0, 4),
            "A<Bin": below < 0 ? 1 : 0,
            "A=Bin": below === 0 ? 1 : 0,
            "A>Bin": below > 0 ? 1 : 0,
          });
          const order = Math.sign(a - b) || below;
          const got = ["A<Bout", "A=Bout", "A>Bout"].map((pin) => chip.drives(pin)).join("");
          if (got !== ["100", "010", "001"][order + 1]) wrong.push(`${a}, ${b}, ${below}: ${got}`);
        }
      }
    }
    expect(wrong).toEqual([]);
  });

  it("the 688 tells equal bytes from all that differ in one bit", () => {
    const wrong: string[] = [];
    for (let p = 0; p < 256; p++) {
      for (const difference of [0, 1, 2, 4, 8, 16, 32, 64, 128]) {
        const chip = chipOf("688", { ...bits("P", p, 0, 8), ...bits("Q", p ^ difference, 0, 8) });
        if (chip.drives("P=Q#") !== (difference === 0 ? 0 : 1)) wrong.push(`${p} with ${p ^ difference}`);
      }
    }
    expect(wrong).toEqual([]);
  });
});
