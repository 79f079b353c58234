import { beforeAll, describe, expect, test } from "vitest";
import { type ShownDots, shownDots } from "../support/shown-dots.js";
import { PICTURE, openBoard } from "./board.js";

/** 640x480 at 60 Hz (VESA DMT 0x04): 96 + 48 dots of 25.175 MHz from sync to picture, 2 + 33 lines; four to a stored dot. */
const place = {
  columns: 160,
  rows: 240,
  lineRepeat: 2,
  dotNs: 4000 / 25.175,
  dotsFromSync: (96 + 48) / 4,
  linesFromSync: 2 + 33,
};

/** Red, green and blue of the two bits of a dot: black, cyan, red, white. */
const COLOURS = ["000", "011", "100", "111"];

describe("the star board of a planetarium, two bits a dot", () => {
  let seen: ShownDots;
  beforeAll(() => {
    const circuit = openBoard("star-board");
    const ram = circuit.chips.find(({ part }) => part.behaviour.memory);
    seen = shownDots(circuit, place, new Map([[ram?.ref ?? "", PICTURE]]));
  }, 60_000);

  test("is 640x480 at 60 Hz to a monitor", () => {
    expect(seen.monitor.locked && seen.monitor.against.meets && seen.monitor.against.raster.id).toBe("dmt-0x04");
    expect(seen.doubts).toEqual([]);
  });

  test("shows four dots of a byte in their colours, the highest bits leftmost, and nothing beside the picture", () => {
    expect(seen.lines).toHaveLength(480);
    seen.lines.forEach((line, index) => {
      const bytes = PICTURE.subarray((index >> 1) * 64, (index >> 1) * 64 + 40);
      const dots = [...bytes].flatMap((byte) => [6, 4, 2, 0].map((shift) => COLOURS[(byte >> shift) & 3]));
      expect(line).toBe(dots.join(" "));
    });
    expect(seen.light).toBe(0);
  });
});
