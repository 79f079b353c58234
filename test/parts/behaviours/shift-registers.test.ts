import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { behaviourOf } from "../../../src/parts/index.js";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";
import { sheetOf194 } from "../../support/sheet-tables.js";
import { type Level, type ZeroDelayChip, zeroDelayChip } from "../../support/zero-delay-chip.js";

const tables: readonly FunctionTable[] = [
  {
    function: "164",
    source: "Texas Instruments SCHS155E (from memory)",
    table: `
      CLR# CLK A B | QA  QB  QC  QD  QE  QF  QG  QH
      L    X   X X | L   L   L   L   L   L   L   L
      H    L   X X | QA0 QB0 QC0 QD0 QE0 QF0 QG0 QH0
      H    ↑   H H | H   QA0 QB0 QC0 QD0 QE0 QF0 QG0
      H    ↑   L X | L   QA0 QB0 QC0 QD0 QE0 QF0 QG0
      H    ↑   X L | L   QA0 QB0 QC0 QD0 QE0 QF0 QG0`,
  },
  sheetOf194,
  {
    function: "165",
    source: "Nexperia 74HC_HCT165 Rev. 7, rows that show at the outputs (from memory)",
    table: `
      SH/LD# CLK CLKINH | QH  QH#
      L      X   X      | h   !h
      L      ↑   L      | h   !h
      H      H   ↑      | QH0 !QH0
      H      ↑   H      | QH0 !QH0
      H      L   L      | QH0 !QH0`,
  },
  {
    function: "166",
    source: "Philips 74HC/HCT166, rows that show at the output (from memory)",
    table: `
      CLR# SH/LD# CLKINH CLK | QH
      L    X      X      X   | L
      H    X      L      L   | QH0
      H    L      L      ↑   | h
      H    L      ↑      L   | h
      H    X      H      ↑   | QH0
      H    X      ↑      H   | QH0`,
  },
  {
    function: "595",
    source: "Texas Instruments SCLS041, rows that show at the outputs (from memory)",
    table: `
      OE# RCLK SRCLR# SRCLK | QA  QB  QC  QD  QE  QF  QG  QH  QH'
      H   X    H      L     | Z   Z   Z   Z   Z   Z   Z   Z   QH'0
      L   L    L      X     | QA0 QB0 QC0 QD0 QE0 QF0 QG0 QH0 L
      L   L    H      ↓     | QA0 QB0 QC0 QD0 QE0 QF0 QG0 QH0 QH'0
      L   ↓    H      L     | QA0 QB0 QC0 QD0 QE0 QF0 QG0 QH0 QH'0`,
  },
  {
    function: "597",
    source: "Philips 74HC/HCT597, function table, rows that show at the output (from memory)",
    table: `
      RCLK SRCLK SRLOAD# SRCLR# | QH
      ↑    X     L       H      | h
      X    X     H       L      | L
      ↑    L     H       H      | QH0
      L    L     H       H      | QH0
      L    ↓     H       H      | QH0`,
  },
];

function chipOf(number: string, levels: Readonly<Record<string, Level>>): ZeroDelayChip {
  const behaviour = behaviourOf(number);
  if (!behaviour) throw new Error(`no behaviour for ${number}`);
  return zeroDelayChip(behaviour, { levels });
}

const letters = Array.from("ABCDEFGH");
const pulse = (chip: ZeroDelayChip, ...pins: readonly string[]) =>
  chip
    .set(Object.fromEntries(pins.map((pin) => [pin, 1 as const])))
    .set(Object.fromEntries(pins.map((pin) => [pin, 0 as const])));
/** Bit 0 is A, the first to go in and the last to come out. */
const data = (byte: number) =>
  Object.fromEntries(letters.map((letter, i) => [letter, ((byte >> i) & 1) as Level] as const));
const outputs = (chip: ZeroDelayChip) =>
  letters.reduce((byte, letter, i) => byte + Number(chip.drives(`Q${letter}`)) * 2 ** i, 0);

const byte = fc.integer({ min: 0, max: 255 });
const level = fc.constantFrom<Level>(0, 1);

describe("shift registers", () => {
  testFunctionTables(tables);

  it("the 165 and 166 give a loaded byte from H to A, then what came in at SER", () => {
    for (const [number, levels] of [
      ["165", {}],
      ["166", { "CLR#": 1 }],
    ] as const) {
      for (let loaded = 0; loaded < 256; loaded++) {
        const chip = chipOf(number, { ...levels, ...data(loaded), SER: 1 });
        pulse(chip, "CLK").set({ "SH/LD#": 1 });
        const got = Array.from({ length: 10 }, () => {
          const bit = chip.drives("QH");
          pulse(chip, "CLK");
          return bit;
        });
        const sent = [7, 6, 5, 4, 3, 2, 1, 0].map((i) => (loaded >> i) & 1);
        expect(got).toEqual([...sent, 1, 1]);
      }
    }
  });

  it("the 165 takes new data for as long as SH/LD# is low, without a clock", () => {
    const chip = chipOf("165", {});
    expect([1, 0, 1].map((H) => chip.set({ H: H as Level }).drives("QH"))).toEqual([1, 0, 1]);
    expect(chip.set({ "SH/LD#": 1 }).set({ H: 0 }).drives("QH")).toBe(1);
  });

  it("a rising clock inhibit clocks a 165 and a 166 while the clock is low, as a clock would", () => {
    for (const number of ["165", "166"]) {
      const chip = chipOf(number, { "CLR#": 1, ...data(0b0100_0000) });
      pulse(chip, "CLK").set({ "SH/LD#": 1 });
      expect(chip.set({ CLKINH: 1 }).drives("QH")).toBe(1);
    }
  });

  it("the 595 shifts on SRCLK and shows on RCLK what stood in the shift register", () => {
    fc.assert(
      fc.property(fc.array(fc.record({ pin: fc.constantFrom("SRCLK", "RCLK", "both"), bit: level })), (steps) => {
        const chip = chipOf("595", { "SRCLR#": 1 });
        let [shifted, shown] = [0, 0];
        for (const { pin, bit } of steps) {
          pulse(chip.set({ SER: bit }), ...(pin === "both" ? ["SRCLK", "RCLK"] : [pin]));
          if (pin !== "SRCLK") shown = shifted;
          if (pin !== "RCLK") shifted = ((shifted << 1) | bit) & 255;
          expect([outputs(chip), chip.drives("QH'")]).toEqual([shown, shifted >> 7]);
        }
      }),
    );
  });

  it("three chained 595s take a 24-bit word in 24 shift edges and show it at one register edge (common practice)", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 2 ** 24 - 1 }), (word) => {
        const chips = [0, 1, 2].map(() => chipOf("595", { "SRCLR#": 1 }));
        for (let i = 23; i >= 0; i--) {
          const carried = chips.map((chip) => chip.drives("QH'") as Level);
          chips.forEach((chip, n) => chip.set({ SER: n === 0 ? (((word >> i) & 1) as Level) : (carried[n - 1] ?? 0) }));
          for (const chip of chips) pulse(chip, "SRCLK");
        }
        expect(chips.map(outputs)).toEqual([0, 0, 0]);
        for (const chip of chips) pulse(chip, "RCLK");
        expect(chips.reduce((sum, chip, n) => sum + outputs(chip) * 256 ** n, 0)).toBe(word);
      }),
    );
  });

  it("the 597 keeps a byte in its input register until SRLOAD# moves it on", () => {
    fc.assert(
      fc.property(byte, byte, (first, second) => {
        const chip = chipOf("597", { "SRCLR#": 1, "SRLOAD#": 1, ...data(first) });
        pulse(chip, "RCLK").set(data(second)).set({ "SRLOAD#": 0 }).set({ "SRLOAD#": 1 });
        const got = [7, 6, 5, 4, 3, 2, 1, 0].map((i) => {
          const bit = Number(chip.drives("QH")) * 2 ** i;
          pulse(chip, "SRCLK");
          return bit;
        });
        expect(got.reduce((sum, bit) => sum + bit, 0)).toBe(first);
        pulse(chip, "RCLK").set({ "SRLOAD#": 0 });
        expect(chip.drives("QH")).toBe(second >> 7);
        expect(chip.set({ "SRLOAD#": 1, "SRCLR#": 0 }).drives("QH")).toBe(0);
      }),
    );
  });
});
