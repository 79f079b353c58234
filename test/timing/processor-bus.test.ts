import { describe, expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { type ProcessorUse, inputsText, isProcessorProblem, processorBus } from "../../src/parts/index.js";
import { ns, parseHertz, range, valueOf } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";

/** The 74AC00's arcs in the catalogue lie within this. */
const gate = range(ns(1), ns(9));

/** What the board does with the bus at 2 MHz; one of its own flip-flops is clocked by the oscillator. */
function failing(name: string, at: ProcessorUse["at"], chips: string): readonly string[] {
  const found = processorBus(name, { clock: valueOf(parseHertz("2 MHz")), at, duty: range(0.48, 0.52) });
  if (isProcessorProblem(found)) throw new Error(found.problem);
  const file = `dotwright: 1
title: On a processor's bus
supply: 5 V ± 10 %
ambient: 0 to 50 °C
build: printed board
raster: 640x480@60
${inputsText(found)}
chips:
  X1:
    part: OSC-25.175MHz
    pins: { OUT: DOT }
  U1:
    part: 74AHCT74
    pins:
      1CLK: DOT
      1D: HALF#
      1Q: open
      1Q#: HALF#
      1PRE#, 1CLR#, 2PRE#, 2CLR#: high
      2CLK, 2D: low
      2Q, 2Q#: open
  U2:
    part: 74HC688
    pins:
      OE#: low
      P[0..7]: PA[0..7]
      Q[0..7]: PA[8..15]
      P=Q#: open
${chips}`;
  const { circuit, problems } = readCircuit(file, "bus.circuit.yaml");
  if (!circuit) throw new Error(problems.map(({ message, line }) => `${line}: ${message}`).join("\n"));
  return prove(circuit)
    .verdicts.filter(({ state }) => state !== "holds")
    .map((verdict) => verdict.name);
}

describe("the inputs of a processor at 2 MHz", () => {
  const byStrobe = `  U3:
    part: 74HC574
    pins:
      CLK: WR#
      OE#: high
      "[1..8]D": PD[0..7]
      "[1..8]Q": open
`;

  test("let a 74HC574 take the R65C02's data as the strobe rises: 30 ns of hold less a gate of 9 leave 21, it asks 5", () => {
    expect(failing("R65C02", { gate }, byStrobe)).toEqual([]);
  });

  test("do not let it take the W65C02S's: 10 ns of hold less a gate of 9 leave 1", () => {
    const names = failing("W65C02S", { gate }, byStrobe);
    expect(names).toEqual([1, 2, 3, 4, 5, 6, 7, 8].map((n) => `hold U3 ${n}D`));
  });

  test.each([
    ["R65C02", "RW#"],
    ["W65C02S", "RWB"],
  ])("let a 74HC112, which asks for no hold time, take the %s's data as PHI2 itself falls", (name, readWrite) => {
    const byClock = `  U3:
    part: 74HC112
    pins:
      1CLK, 2CLK: PHI2
      1PRE#, 1CLR#, 2PRE#, 2CLR#: high
      1J: PD0
      1K: PD1
      2J: PD2
      2K: PD3
      1Q, 1Q#, 2Q, 2Q#: open
  U4:
    part: 74HC20
    pins: { 1A: PD4, 1B: PD5, 1C: PD6, 1D: PD7, 1Y: open, 2A: ${readWrite}, 2B: high, 2C: high, 2D: high, 2Y: open }
`;
    expect(failing(name, "pins", byClock)).toEqual([]);
  });
});
