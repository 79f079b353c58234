import { describe, expect, test } from "vitest";
import { lengthIn, wireAdvice } from "../../src/electrical/wire-advice.js";
import { boardFrom } from "../paper/board-fixture.js";

const board = (part: string, build: string) =>
  boardFrom(`
dotwright: 1
title: Harbour lamp
supply: 5 V ± 10 %
raster: 640x480@60
build: ${build}
inputs:
  IN: {power-up only: low, at least: 100 ms}
chips:
  U1: {part: ${part}, pins: {'1A, 2A, 3A, 4A, 5A, 6A': IN, 1Y: CLOCK, 2Y: DATA, '3Y, 4Y, 5Y, 6Y': open}}
  U2: {part: 74HC74, pins: {1CLK: CLOCK, 1D: DATA, '1CLR#, 1PRE#': high, '1Q, 1Q#, 2Q, 2Q#': open, '2D, 2CLK': low, '2CLR#, 2PRE#': high}}
`);

describe("wires", () => {
  // Texas Instruments SZZA009: traces longer than 4 inches may need termination. An edge of 1.6 ns (AC) allows 12.6 cm by
  // the rule that the echo must be back before the edge is over.
  test("of advanced CMOS may be about four inches long", () => {
    expect(lengthIn(1.6)).toBeGreaterThanOrEqual(10);
    expect(lengthIn(1.6)).toBeLessThanOrEqual(13);
  });

  test("ring on a breadboard where edges are of 74ACT, and clocks come first", () => {
    const [advice] = wireAdvice(board("74ACT04", "breadboard"));
    expect(advice?.text).toContain("74ACT (U1, edges of about 1.6 ns): 12 cm");
    expect(advice?.text).toContain("47 ohm in series");
    expect(advice?.text).toContain("Clocks and strobes first: CLOCK.");
  });

  test("of 74HC do not ring on any style, up to the lengths that the styles have", () => {
    expect(wireAdvice(board("74HC04", "breadboard"))).toEqual([]);
    expect(wireAdvice(board("74HC04", "printed board"))).toEqual([]);
  });
});
