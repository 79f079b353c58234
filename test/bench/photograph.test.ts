import { describe, expect, it } from "vitest";
import { CELLS_HIGH, CELLS_WIDE, type Look, type ScreenSignature, matchLooks } from "../../src/bench/index.js";
import { randomNumbers } from "../support/random-bits.js";
import { photographOf } from "./photographs.js";

/** A screen of white and coloured bars, some of it shifted or dark. */
function screen(numbers: (below: number) => number): ScreenSignature {
  const cells = new Uint8Array(CELLS_WIDE * CELLS_HIGH * 3);
  for (let bar = 0; bar < 12; bar++) {
    const [left, top, wide, high] = [numbers(60), numbers(45), 4 + numbers(20), 3 + numbers(15)];
    const colour = 1 + numbers(7);
    for (let y = top; y < top + high && y < CELLS_HIGH; y++) {
      for (let x = left; x < left + wide && x < CELLS_WIDE; x++) {
        for (let one = 0; one < 3; one++) cells[(y * CELLS_WIDE + x) * 3 + one] = (colour >> one) & 1 ? 255 : 0;
      }
    }
  }
  return { locked: true, lineHz: 31_469, frameHz: 59.94, cells };
}

describe("a photograph of the screen", () => {
  it("is told among twelve looks, warped, blurred, noisy and unevenly lit, and so is a dark screen", () => {
    const numbers = randomNumbers(5);
    const dark: ScreenSignature = { locked: false, reason: "no horizontal sync" };
    const looks = [dark, ...Array.from({ length: 11 }, () => screen(numbers))].map((one, index): Look => ({
      number: index + 1,
      screen: one,
      faults: [index],
      text: "",
      isUsual: false,
    }));
    const right = looks.filter((look) => matchLooks(photographOf(look.screen, numbers).cells, looks)[0]?.look === look);
    expect(right.length).toBeGreaterThanOrEqual(11);
    expect(right[0]?.screen).toBe(dark);
  });
});
