import type { Circuit } from "../../src/circuit/circuit.js";
import { formatProblem, readCircuit } from "../../src/circuit/index.js";

/** Pins of a small circuit that a test may wire in another way. */
export interface ChaserWires {
  readonly counterClock?: string;
  readonly enable?: string;
  readonly firstAnd?: string;
  readonly secondAnd?: string;
  readonly select?: string;
  readonly counter?: string;
}

/** A light that runs: a megahertz, halved, counted to sixteen, gated and registered. No picture; one of each kind of chip. */
export function chaser(wires: ChaserWires = {}): Circuit {
  const { counterClock = "HALF", enable = "high", firstAnd = "Q0", secondAnd = "Q1" } = wires;
  const { select = "Q3", counter = "74HC161" } = wires;
  const text = `
dotwright: 1
title: Chaser
supply: 5 V ± 5 %
ambient: 0 to 50 °C
build: breadboard
raster: 640x480@60
chips:
  X1: { part: OSC-1MHz, pins: { OUT: OSC } }
  U1:
    part: 74HC74
    pins:
      1CLK: OSC
      1D: HALF#
      1Q: HALF
      1Q#: HALF#
      "1PRE#, 1CLR#, 2PRE#, 2CLR#": high
      2CLK: OSC
      2D: BOTH
      2Q: LATE
      2Q#: open
  U2:
    part: ${counter}
    pins:
      CLK: ${counterClock}
      "CLR#, LOAD#, ENT": high
      ENP: ${enable}
      "A, B, C, D": low
      "Q[A..D]": "Q[0..3]"
      RCO: open
  U3:
    part: 74HC08
    pins:
      1A: ${firstAnd}
      1B: ${secondAnd}
      1Y: BOTH
      2A: Q2
      2B: ${select}
      2Y: open
      "3A, 3B, 4A, 4B": low
      "3Y, 4Y": open
  U4:
    part: 74HC244
    pins:
      1OE#: Q3
      2OE#: low
      1A1: BOTH
      1Y1: SHARED
      "1A[2..4]": low
      "1Y[2..4]": open
      2A1: LATE
      2Y1: LAMP
      "2A[2..4]": low
      "2Y[2..4]": open
  U5:
    part: 74HC125
    pins:
      1OE#: Q3#
      1A: LATE
      1Y: SHARED
      "2OE#, 3OE#, 4OE#": high
      "2A, 3A, 4A": low
      "2Y, 3Y, 4Y": open
  U6:
    part: 74HC04
    pins:
      1A: Q3
      1Y: Q3#
      2A: SHARED
      2Y: SEEN
      "3A, 4A, 5A, 6A": low
      "3Y, 4Y, 5Y, 6Y": open
`;
  const { circuit, problems } = readCircuit(text, "chaser.circuit.yaml");
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}
