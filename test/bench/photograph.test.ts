import { describe, expect, it } from "vitest";
import {
  CELLS_HIGH,
  CELLS_WIDE,
  type Look,
  type ScreenSignature,
  matchLooks,
  straighten,
} from "../../src/bench/index.js";
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
  it("has in the middle, once it is straight, what lies where the diagonals of its corners cross", () => {
    // Perspective keeps straight lines straight, and so the crossing of the diagonals (plane geometry).
    const corners = [
      [20, 10],
      [180, 40],
      [150, 140],
      [60, 120],
    ] as const;
    const [[ax, ay], [bx, by], [cx, cy], [dx, dy]] = corners;
    const along = ((bx - ax) * (dy - by) - (by - ay) * (dx - bx)) / ((cx - ax) * (dy - by) - (cy - ay) * (dx - bx));
    const [x, y] = [Math.round(ax + along * (cx - ax)), Math.round(ay + along * (cy - ay))];
    const photograph = { width: 200, height: 150, rgb: new Uint8Array(200 * 150 * 3) };
    for (let row = y - 1; row <= y + 1; row++)
      photograph.rgb.fill(255, (row * 200 + x - 1) * 3, (row * 200 + x + 2) * 3);
    const cells = straighten(photograph, corners);
    const lit = [...cells.keys()].filter((at) => (cells[at] ?? 0) > 100).map((at) => Math.floor(at / 3));
    expect(lit.length).toBeGreaterThan(0);
    for (const cell of lit) {
      expect(Math.abs((cell % CELLS_WIDE) + 0.5 - CELLS_WIDE / 2)).toBeLessThanOrEqual(2);
      expect(Math.abs(Math.floor(cell / CELLS_WIDE) + 0.5 - CELLS_HIGH / 2)).toBeLessThanOrEqual(2);
    }
  });

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
