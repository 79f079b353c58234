import { describe, expect, it } from "vitest";
import { behaviourOf } from "../../../src/parts/index.js";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";
import { type Level, type ZeroDelayChip, zeroDelayChip } from "../../support/zero-delay-chip.js";

const synchronous = (clear: string) => `
  CLR# LOAD# ENP ENT CLK | QA  QB  QC  QD
  ${clear}
  H    L     X   X   ↑   | a   b   c   d
  H    H     L   X   ↑   | QA0 QB0 QC0 QD0
  H    H     X   L   ↑   | QA0 QB0 QC0 QD0
  H    H     H   H   ↑   | !QA0 QB0^QA0 QC0^(QA0&QB0) QD0^(QA0&QB0&QC0)
  H    X     X   X   L   | QA0 QB0 QC0 QD0
  H    X     X   X   H   | QA0 QB0 QC0 QD0
  H    X     X   X   ↓   | QA0 QB0 QC0 QD0`;

const tables: readonly FunctionTable[] = [
  {
    function: "163",
    source: "Texas Instruments SCHS154D, mode select table (from memory)",
    table: synchronous(`
  L    X     X   X   ↑   | L   L   L   L
  L    X     X   X   L   | QA0 QB0 QC0 QD0
  L    X     X   X   H   | QA0 QB0 QC0 QD0`),
  },
  {
    function: "161",
    source: "Nexperia 74HC161 Rev. 4, function table (from memory)",
    table: synchronous("L    X     X   X   X   | L   L   L   L"),
  },
  {
    function: "191",
    source: "Texas Instruments SCHS275E (from memory)",
    table: `
      LOAD# CTEN# D/U# CLK | QA   QB       QC              QD
      L     X     X    X   | a    b        c               d
      H     H     X    ↑   | QA0  QB0      QC0             QD0
      H     L     L    ↑   | !QA0 QB0^QA0  QC0^(QA0&QB0)   QD0^(QA0&QB0&QC0)
      H     L     H    ↑   | !QA0 QB0^!QA0 QC0^(!QA0&!QB0) QD0^(!QA0&!QB0&!QC0)
      H     X     X    ↓   | QA0  QB0      QC0             QD0`,
  },
  {
    function: "193",
    source: "Texas Instruments SCLS122D (from memory)",
    table: `
      CLR LOAD# UP DOWN | QA   QB       QC              QD
      H   X     X  X    | L    L        L               L
      L   L     X  X    | a    b        c               d
      L   H     ↑  H    | !QA0 QB0^QA0  QC0^(QA0&QB0)   QD0^(QA0&QB0&QC0)
      L   H     H  ↑    | !QA0 QB0^!QA0 QC0^(!QA0&!QB0) QD0^(!QA0&!QB0&!QC0)
      L   H     H  H    | QA0  QB0      QC0             QD0
      L   H     ↓  H    | QA0  QB0      QC0             QD0
      L   H     H  ↓    | QA0  QB0      QC0             QD0`,
  },
  {
    function: "393",
    source: "Texas Instruments SCLS143D (from memory)",
    sections: ["1", "2"],
    table: `
      CLR CLK | QA   QB      QC            QD
      H   X   | L    L       L             L
      H   ↓   | L    L       L             L
      L   ↓   | !QA0 QB0^QA0 QC0^(QA0&QB0) QD0^(QA0&QB0&QC0)
      L   ↑   | QA0  QB0     QC0           QD0
      L   L   | QA0  QB0     QC0           QD0`,
  },
  {
    function: "590",
    source: "Texas Instruments SCLS039C (from memory)",
    table: `
      OE# RCLK | QA  QB  QC  QD  QE  QF  QG  QH
      H   X    | Z   Z   Z   Z   Z   Z   Z   Z
      L   L    | QA0 QB0 QC0 QD0 QE0 QF0 QG0 QH0
      L   H    | QA0 QB0 QC0 QD0 QE0 QF0 QG0 QH0
      L   ↓    | QA0 QB0 QC0 QD0 QE0 QF0 QG0 QH0`,
  },
  {
    function: "590",
    source: "Texas Instruments SCLS039C, rows of the counter, which show at RCO# (from memory)",
    table: `
      CCLR# CCKEN# CCLK | RCO#
      L     X      X    | H
      L     L      ↑    | H
      H     H      ↑    | RCO#0
      H     X      L    | RCO#0
      H     X      H    | RCO#0
      H     X      ↓    | RCO#0`,
  },
  {
    function: "4040",
    source: "Texas Instruments SCHS203, truth table; its advance of one state written out (from memory)",
    table: `
      CLR CLK | QA   QB      QC            QD                 QE                      QF
      H   X   | L    L       L             L                  L                       L
      H   ↓   | L    L       L             L                  L                       L
      L   ↑   | QA0  QB0     QC0           QD0                QE0                     QF0
      L   ↓   | !QA0 QB0^QA0 QC0^(QA0&QB0) QD0^(QA0&QB0&QC0)  QE0^(QA0&QB0&QC0&QD0)   QF0^(QA0&QB0&QC0&QD0&QE0)`,
  },
  {
    function: "4040",
    source: "Texas Instruments SCHS203, truth table, last stages (from memory)",
    table: `
      CLR CLK | QG  QH          QI  QJ               QK  QL
      H   X   | L   L           L   L                L   L
      L   ↑   | QG0 QH0         QI0 QJ0              QK0 QL0`,
  },
  {
    function: "4020",
    source: "Texas Instruments SCHS201, truth table (from memory)",
    table: `
      CLR CLK | QA   QD  QE  QF  QG  QH  QI  QJ  QK  QL  QM  QN
      H   X   | L    L   L   L   L   L   L   L   L   L   L   L
      L   ↑   | QA0  QD0 QE0 QF0 QG0 QH0 QI0 QJ0 QK0 QL0 QM0 QN0
      L   H   | QA0  QD0 QE0 QF0 QG0 QH0 QI0 QJ0 QK0 QL0 QM0 QN0`,
  },
  {
    function: "4020",
    source: "Texas Instruments SCHS201, truth table, first stage (from memory)",
    table: `
      CLR CLK | QA
      L   ↓   | !QA0`,
  },
  {
    function: "4060",
    source: "Texas Instruments SCHS207, truth table (from memory)",
    table: `
      CLR CLKI | QD  QE  QF  QG  QH  QI  QJ  QL  QM  QN  CLKO CLKO#
      H   X    | L   L   L   L   L   L   L   L   L   L   L    H
      L   ↑    | QD0 QE0 QF0 QG0 QH0 QI0 QJ0 QL0 QM0 QN0 H    L
      L   L    | QD0 QE0 QF0 QG0 QH0 QI0 QJ0 QL0 QM0 QN0 L    H`,
  },
];

const letters = (last: string) =>
  Array.from({ length: last.charCodeAt(0) - 64 }, (_, i) => String.fromCharCode(65 + i));

function chipOf(number: string, levels: Readonly<Record<string, Level>>, storage = {}): ZeroDelayChip {
  const behaviour = behaviourOf(number);
  if (!behaviour) throw new Error(`no behaviour for ${number}`);
  return zeroDelayChip(behaviour, { levels, storage });
}

/** The number on outputs QA (least) upwards. */
function count(chip: ZeroDelayChip, last: string, prefix = ""): number {
  return letters(last).reduce((sum, letter, i) => sum + Number(chip.drives(`${prefix}Q${letter}`)) * 2 ** i, 0);
}

const pulse = (chip: ZeroDelayChip, pin: string) => chip.set({ [pin]: 1 }).set({ [pin]: 0 });
const data = (value: number) =>
  Object.fromEntries(letters("D").map((letter, i) => [letter, ((value >> i) & 1) as Level]));

describe("counters", () => {
  testFunctionTables(tables);

  it.each(["161", "163"])("the %s counts through all 16 states, with RCO at 15 only", (number) => {
    const chip = chipOf(number, { "CLR#": 1, "LOAD#": 1, ENP: 1, ENT: 1 });
    for (let n = 0; n < 40; n++) {
      expect([count(chip, "D"), chip.drives("RCO")]).toEqual([n % 16, n % 16 === 15 ? 1 : 0]);
      pulse(chip, "CLK");
    }
  });

  it.each(["161", "163"])("the %s shows RCO only while ENT is high, whatever ENP is", (number) => {
    const chip = chipOf(number, { "CLR#": 1, "LOAD#": 0, ...data(15) });
    pulse(chip, "CLK");
    const carry = (ENP: Level, ENT: Level) => chip.set({ ENP, ENT }).drives("RCO");
    expect([carry(0, 0), carry(1, 0), carry(0, 1), carry(1, 1)]).toEqual([0, 0, 1, 1]);
  });

  it("two cascaded 163s, RCO to ENT and ENP, count through 256 states", () => {
    const low = chipOf("163", { "CLR#": 1, "LOAD#": 1, ENP: 1, ENT: 1 });
    const high = chipOf("163", { "CLR#": 1, "LOAD#": 1 });
    for (let n = 0; n < 600; n++) {
      expect(count(low, "D") + 16 * count(high, "D")).toBe(n % 256);
      const carry = low.drives("RCO") === 1 ? 1 : 0;
      high.set({ ENP: 1, ENT: carry });
      pulse(high, "CLK");
      pulse(low, "CLK");
    }
  });

  it("the 191 shows its last count at MAX/MIN and passes the low phase of the clock at RCO#", () => {
    const chip = chipOf("191", { "LOAD#": 1 });
    for (const [down, last] of [
      [0, 15],
      [1, 0],
    ] as const) {
      for (let n = 0; n < 16; n++) {
        chip.set({ "D/U#": down, "LOAD#": 0, ...data(n) }).set({ "LOAD#": 1 });
        const isLast = n === last ? 1 : 0;
        expect(chip.drives("MAX/MIN")).toBe(isLast);
        chip.set({ "CTEN#": 0 });
        expect(chip.drives("RCO#")).toBe(1 - isLast);
        expect(chip.set({ "CTEN#": 1 }).drives("RCO#")).toBe(1);
        chip.set({ CLK: 1 }).set({ "CTEN#": 0 });
        expect(chip.drives("RCO#")).toBe(1);
        chip.set({ "CTEN#": 1 }).set({ CLK: 0 });
      }
    }
  });

  it("the 193 counts up and down through all states, carry low in the low phase at 15, borrow at 0", () => {
    const chip = chipOf("193", { UP: 1, DOWN: 1, "LOAD#": 1 });
    for (const [pin, step] of [
      ["UP", 1],
      ["DOWN", 15],
    ] as const) {
      for (let n = 0; n < 20; n++) {
        const before = count(chip, "D");
        chip.set({ [pin]: 0 });
        expect(chip.drives("CO#")).toBe(pin === "UP" && before === 15 ? 0 : 1);
        expect(chip.drives("BO#")).toBe(pin === "DOWN" && before === 0 ? 0 : 1);
        chip.set({ [pin]: 1 });
        expect(count(chip, "D")).toBe((before + step) % 16);
      }
    }
  });

  it("the 590 shows its count one register clock later, and RCO# is low at 255", () => {
    const chip = chipOf("590", { "CCLR#": 1 });
    for (let n = 0; n < 600; n++) {
      pulse(chip, "RCLK");
      expect([count(chip, "H"), chip.drives("RCO#")]).toEqual([n % 256, n % 256 === 255 ? 0 : 1]);
      pulse(chip, "CCLK");
      expect(count(chip, "H")).toBe(n % 256);
    }
  });

  it("the 590 with both clocks tied shows the count before the edge", () => {
    const chip = chipOf("590", { "CCLR#": 1 });
    for (let n = 0; n < 10; n++) {
      chip.set({ CCLK: 1, RCLK: 1 }).set({ CCLK: 0, RCLK: 0 });
      expect(count(chip, "H")).toBe(n);
    }
  });

  it("the 590 holds its count while CCKEN# is high and clears at once", () => {
    const chip = chipOf("590", { "CCLR#": 1 });
    pulse(pulse(chip, "CCLK").set({ "CCKEN#": 1 }), "CCLK");
    expect(count(pulse(chip, "RCLK"), "H")).toBe(1);
    expect(count(pulse(chip.set({ "CCLR#": 0 }), "RCLK"), "H")).toBe(0);
  });

  it.each([
    ["4040", "CLK", "L", ""],
    ["4020", "CLK", "N", "BC"],
    ["4060", "CLKI", "N", "ABCK"],
  ])("the %s counts falling edges through all its states and clears at once", (number, clock, last, hidden) => {
    const visible = letters(last).filter((letter) => !hidden.includes(letter));
    const states = 2 ** letters(last).length;
    const chip = chipOf(number, {});
    const wrong: string[] = [];
    for (let n = 0; n <= states; n++) {
      for (const letter of visible) {
        const stage = letter.charCodeAt(0) - 65;
        if (chip.drives(`Q${letter}`) !== ((n >> stage) & 1)) wrong.push(`Q${letter} at ${n}`);
      }
      pulse(chip, clock);
    }
    expect(wrong).toEqual([]);
    expect(chip.drives("QD")).toBe(0);
    for (let n = 0; n < 8; n++) pulse(chip, clock);
    expect(chip.drives("QD")).toBe(1);
    chip.set({ CLR: 1 });
    expect(visible.map((letter) => chip.drives(`Q${letter}`))).toEqual(visible.map(() => 0));
    expect(chip.set({ CLR: 0 }).drives("QD")).toBe(0);
  });

  it("the 4060 passes its clock to CLKO and inverted to CLKO#, and stops both while cleared", () => {
    const chip = chipOf("4060", {});
    const outputs = (CLKI: Level, CLR: Level) => {
      chip.set({ CLKI, CLR });
      return [chip.drives("CLKO"), chip.drives("CLKO#")];
    };
    expect([outputs(0, 0), outputs(1, 0), outputs(0, 1), outputs(1, 1)]).toEqual([
      [0, 1],
      [1, 0],
      [0, 1],
      [0, 1],
    ]);
  });
});
