import { type Circuit, formatProblem, readCircuit } from "../../src/circuit/index.js";

/** Reads a circuit file's text; its mistakes fail the test. */
export function boardFrom(text: string): Circuit {
  const { circuit, problems } = readCircuit(text, "fixture.yaml");
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

/** A few chips with one of everything that the wiring list knows: a bus, a three-state buffer, unused gates, a resistor. */
export const harbourLamp = `
dotwright: 1
title: Harbour lamp
supply: 5 V ± 10 %
ambient: 0 to 50 °C
build: breadboard
raster: 640x480@60
picture: {size: 320 x 240, hsync: HSYNC, vsync: VSYNC, video: VIDEO}
inputs:
  RESET#: {power-up only: low, at least: 100 ms}
to come: [VSYNC_NEXT]
chips:
  X1:
    part: OSC-25.175MHz
    note: dot clock times two
    pins: {OUT: OSC}
  U1:
    part: 74HC163
    note: dot and byte divider
    pins: {CLK: OSC, CLR#: RESET#, "LOAD#, ENP, ENT": high, "A, B, C, D": low, "Q[A..D]": "DIV[0..3]", RCO: open}
  U2:
    part: 74HC163
    note: column counter
    pins: {CLK: DIV3, CLR#: RESET#, "LOAD#, ENP, ENT": high, "A, B, C, D": low, "Q[A..D]": "COL[0..3]", RCO: LINE_END}
  U3:
    part: 74HC244
    note: screen's address onto the RAM
    pins: {1OE#: SLOT#, "1A[1..4]": "COL[0..3]", "1Y[1..4]": "VA[0..3]", 2OE#: high, "2A[1..4]": low, "2Y[1..4]": open}
  U4:
    part: 74HC00
    note: slot and sync decode
    pins: {1A: DIV3, 1B: high, 1Y: SLOT#, 2A: LINE_END, 2B: DIV2, 2Y: HSYNC, "3A, 3B, 4A, 4B": low, "3Y, 4Y": open}
  U5:
    part: 74HC74
    note: video
    pins:
      {1D: VA0, 1CLK: OSC, "1CLR#, 1PRE#": high, 1Q: VIDEO, 1Q#: open, 2D: VSYNC_NEXT, 2CLK: OSC, "2CLR#, 2PRE#": high, 2Q: VSYNC, 2Q#: open}
passives:
  R1: {value: 470 ohm, between: [VIDEO, GREEN]}
  R2: {value: 10 kohm, between: [RESET#, high]}
  C1: {value: 100 nF, between: [high, low]}
  C2: {value: 100 nF, between: [high, low], note: at U3}
  C9: {value: 47 uF, between: [high, low]}
  C10: {value: 1 uF, between: [RESET#, low]}
`;
