import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Behaviour, behaviours } from "../../../src/parts/index.js";
import { type FunctionTable, testFunctionTables } from "../../support/function-table.js";
import { type Level, zeroDelayChip } from "../../support/zero-delay-chip.js";

const undriven = "Z Z Z Z Z Z Z Z";
const dataPins = (prefix: string) => [0, 1, 2, 3, 4, 5, 6, 7].map((n) => `${prefix}${n}`).join(" ");

/** Every mode that leaves the data pins undriven; reading is tested with contents below. */
const oneSelect = `
  WE# CE# OE# | ${dataPins("IO")}
  X   H   X   | ${undriven}
  H   L   H   | ${undriven}
  L   L   X   | ${undriven}`;
const twoSelects = `
  WE# CE1# CE2 OE# | ${dataPins("IO")}
  X   H    X   X   | ${undriven}
  X   X    L   X   | ${undriven}
  H   L    H   H   | ${undriven}
  L   L    H   X   | ${undriven}`;
const readOnly = (prefix: string, outputEnable = "OE#") => `
  CE# ${outputEnable} | ${dataPins(prefix)}
  H   X | ${undriven}
  L   H | ${undriven}`;

/** The modes of one port, whatever the other does. */
const onePort = (side: "L" | "R") => `
  WE${side}# CE${side}# OE${side}# | ${[0, 1, 2, 3, 4, 5, 6, 7].map((n) => `IO${n}${side}`).join(" ")}
  X   H   X   | ${undriven}
  H   L   H   | ${undriven}
  L   L   X   | ${undriven}`;
const ports = ["L", "R"] as const;

const tables: readonly FunctionTable[] = [
  { function: "2Kx8", source: "STMicroelectronics Doc ID 2420 Rev 9, operating modes (from memory)", table: oneSelect },
  { function: "8Kx8", source: "Hitachi HM6264B ADE-203-454B, function table (from memory)", table: twoSelects },
  { function: "32Kx8", source: "Alliance AS6C62256 v1.2, truth table (from memory)", table: oneSelect },
  { function: "128Kx8", source: "Hitachi HM628128A, function table (from memory)", table: twoSelects },
  { function: "256Kx8", source: "common practice", table: twoSelects },
  { function: "512Kx8", source: "Alliance AS6C4008 v1.4, truth table (from memory)", table: oneSelect },
  { function: "128Kx8 centre power", source: "Cypress 001-06425, truth table (from memory)", table: oneSelect },
  { function: "512Kx8 centre power", source: "Cypress 001-06501, truth table (from memory)", table: oneSelect },
  { function: "32Kx8 EPROM", source: "Atmel AT27C256R, operating modes (from memory)", table: readOnly("O") },
  { function: "64Kx8 EPROM", source: "Microchip 27C512A, modes (from memory)", table: readOnly("O", "OE#/VPP") },
  { function: "8Kx8 EEPROM", source: "Atmel AT28C64, operating modes (from memory)", table: readOnly("IO") },
  { function: "32Kx8 EEPROM", source: "Atmel AT28C256, operating modes (from memory)", table: readOnly("IO") },
  { function: "128Kx8 flash", source: "Microchip DS20005022C, operation modes (from memory)", table: readOnly("DQ") },
  { function: "256Kx8 flash", source: "Microchip DS20005022C, operation modes (from memory)", table: readOnly("DQ") },
  { function: "512Kx8 flash", source: "Microchip DS20005022C, operation modes (from memory)", table: readOnly("DQ") },
  ...ports.flatMap((side): readonly FunctionTable[] => [
    { function: "1Kx8 dual-port", source: "Cypress CY7C130, either port (from memory)", table: onePort(side) },
    { function: "2Kx8 dual-port", source: "IDT DSC-2692, table of either port (from memory)", table: onePort(side) },
    { function: "4Kx8 dual-port", source: "IDT7134, table of either port (from memory)", table: onePort(side) },
  ]),
];

const number = (names: readonly string[], value: number) =>
  Object.fromEntries(names.map((name, i) => [name, ((value >> i) & 1) as Level] as const));

const SELECTED: Readonly<Record<string, Level>> = {
  "CEL#": 0,
  "OEL#": 0,
  "WEL#": 1,
  "CER#": 1,
  "OER#": 0,
  "WER#": 1,
  "CE#": 0,
  "CE1#": 0,
  CE2: 1,
  "OE#": 0,
  "OE#/VPP": 0,
  "WE#": 1,
  VPP: 1,
};
const wordsOf = ({ memory }: Behaviour) => 2 ** (memory?.address.length ?? 0);
const memories = behaviours.filter(({ memory }) => memory);

describe("memories", () => {
  testFunctionTables(tables);

  it("a memory has as many addresses as its organisation says", () => {
    for (const memory of memories) {
      const kilo = Number(/^\d+/.exec(memory.function)?.[0]);
      expect([memory.function, wordsOf(memory)]).toEqual([memory.function, kilo * 1024]);
      expect(memory.memory?.data).toHaveLength(8);
    }
  });

  it.each(memories.map((one) => [one.function, one] as const))(
    "the %s gives the word at its address",
    (_, behaviour) => {
      const { address = [], data = [] } = behaviour.memory ?? {};
      fc.assert(
        fc.property(
          fc.integer({ min: 0, max: wordsOf(behaviour) - 1 }),
          fc.integer({ min: 0, max: 255 }),
          (at, word) => {
            const levels = { ...SELECTED, ...number(address, at) };
            const chip = zeroDelayChip(behaviour, { levels, words: new Map([[at, word]]) });
            expect(data.reduce((sum, pin, i) => sum + Number(chip.drives(pin)) * 2 ** i, 0)).toBe(word);
            const elsewhere = chip.set(number(address, at ^ 1));
            expect(data.map((pin) => elsewhere.drives(pin))).toEqual(data.map(() => 0));
          },
        ),
      );
    },
  );

  it("a static RAM keeps what a write pulse stored, and no other cell changes", () => {
    for (const behaviour of memories.filter(({ memory }) => memory?.write)) {
      const { address = [], data = [] } = behaviour.memory ?? {};
      const write = behaviour.otherPorts ? "WEL#" : "WE#";
      const chip = zeroDelayChip(behaviour, { levels: { ...SELECTED, "OE#": 1, "OEL#": 1 } });
      const cells = [0, 1, 2, wordsOf(behaviour) / 2, wordsOf(behaviour) - 1];
      cells.forEach((cell, i) => {
        chip.set({ ...number(address, cell), ...number(data, 0x5a + i) });
        chip
          .set({ [write]: 0 })
          .set({ [write]: 1 })
          .set(number(data, 0));
      });
      expect(cells.map((cell) => chip.word(cell))).toEqual(cells.map((_, i) => 0x5a + i));
      expect(chip.word(3)).toBe(0);
    }
  });

  it("a static RAM writes a stray cell when the address moves during the write pulse", () => {
    const behaviour = memories.find((one) => one.function === "32Kx8");
    if (!behaviour) throw new Error("no 32Kx8");
    const chip = zeroDelayChip(behaviour, { levels: { ...SELECTED, ...number(behaviour.memory?.data ?? [], 0xff) } });
    chip.set({ "WE#": 0 }).set({ A0: 1 }).set({ "WE#": 1 });
    expect([chip.word(0), chip.word(1)]).toEqual([0xff, 0xff]);
  });

  it("a memory that is only read drives nothing while WE# is low, and does not change", () => {
    for (const behaviour of memories.filter((one) => one.pins.some((p) => p.name === "WE#") && !one.memory?.write)) {
      const chip = zeroDelayChip(behaviour, { levels: { ...SELECTED, "WE#": 0 }, words: new Map([[0, 1]]) });
      expect((behaviour.memory?.data ?? []).map((pin) => chip.drives(pin))).toEqual(undriven.split(" "));
      expect(chip.word(0)).toBe(1);
    }
  });
});
