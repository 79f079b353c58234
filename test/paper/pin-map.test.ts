import { describe, expect, test } from "vitest";
import { findPart, isPartProblem, listPartNumbers } from "../../src/parts/index.js";
import { pinMaps } from "../../src/paper/pin-map.js";
import { drawPinMap } from "../../src/paper/pin-map-drawing.js";
import { pinMapText } from "../../src/paper/pin-map-text.js";
import { overlaps } from "./overlaps.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";

const maps = pinMaps(boardFrom(harbourLamp));

describe("a pin map", () => {
  test("counts down the left side from pin 1 and up the right side to the last pin", () => {
    const [, counter] = maps;
    expect(counter?.left.map(({ number, pin, net }) => `${number} ${pin} ${net}`)).toEqual([
      "1 CLR# RESET#",
      "2 CLK OSC",
      "3 A 0 V rail",
      "4 B 0 V rail",
      "5 C 0 V rail",
      "6 D 0 V rail",
      "7 ENP +5 V rail",
      "8 GND 0 V rail",
    ]);
    expect(counter?.right.map(({ number }) => number)).toEqual([16, 15, 14, 13, 12, 11, 10, 9]);
  });

  test("shows an oscillator can with pins at its corners only", () => {
    const [can] = maps;
    expect(can?.left.filter(({ state }) => state !== "no pin").map(({ number }) => number)).toEqual([1, 7]);
    expect(can?.right.filter(({ state }) => state !== "no pin").map(({ number }) => number)).toEqual([14, 8]);
  });

  test("is drawn in characters with its nets outside", () => {
    expect(pinMapText(maps[4] as (typeof maps)[0])).toBe(
      [
        "U4, 74HC00: quad 2-input NAND, DIP-14",
        "    slot and sync decode",
        "             ┌──────∪──────┐",
        "     DIV3  1 │ 1A      VCC │ 14 +5 V rail",
        "+5 V rail  2 │ 1B       4B │ 13 0 V rail",
        "    SLOT#  3 │ 1Y       4A │ 12 0 V rail",
        " LINE_END  4 │ 2A       4Y │ 11 (open)",
        "     DIV2  5 │ 2B       3B │ 10 0 V rail",
        "    HSYNC  6 │ 2Y       3A │ 9  0 V rail",
        " 0 V rail  7 │ GND      3Y │ 8  (open)",
        "             └─────────────┘",
        "",
      ].join("\n"),
    );
  });

  test("is drawn with no label on another", () => {
    for (const map of maps) expect(overlaps(drawPinMap(map).labels)).toEqual([]);
  });

  test("is drawn the same every time", async () => {
    await expect(drawPinMap(maps[1] as (typeof maps)[0]).svg.text).toMatchFileSnapshot("drawings/counter-pins.svg");
  });
});

test("every part on record can be mapped, each pin once", { timeout: 60_000 }, () => {
  const circuit = boardFrom(harbourLamp);
  const [chip] = circuit.chips;
  if (!chip) throw new Error("the fixture has no chips");
  const parts = listPartNumbers().flatMap((number) => {
    const part = findPart(number, circuit);
    return isPartProblem(part) ? [] : [part];
  });
  expect(parts.length).toBeGreaterThan(100);
  for (const part of parts) {
    const [map] = pinMaps({ ...circuit, chips: [{ ...chip, part, nets: new Map(), open: new Set() }] });
    const mapped = [...(map?.left ?? []), ...(map?.right ?? [])].filter(({ state }) => state !== "no pin");
    expect([part.number, mapped.map(({ number }) => number).sort((a, b) => a - b)]).toEqual([
      part.number,
      part.package.pins.map(({ number }) => number).sort((a, b) => a - b),
    ]);
  }
});
