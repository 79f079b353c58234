import { beforeAll, describe, expect, test } from "vitest";
import { type ShownDots, shownDots } from "../support/shown-dots.js";
import { openBoard } from "./board.js";

/** 640x480 at 60 Hz (VESA DMT 0x04): 96 + 48 dots of 25.175 MHz from sync to picture, 2 + 33 lines. */
const place = {
  columns: 320,
  rows: 240,
  lineRepeat: 2,
  dotNs: 2000 / 25.175,
  dotsFromSync: (96 + 48) / 2,
  linesFromSync: 2 + 33,
};

const codes = Uint8Array.from({ length: 32768 }, (_, address) => ((address * 40503) >> 7) & 0xff);
const rom = Uint8Array.from({ length: 32768 }, (_, address) => ((address * 30011) >> 5) & 0xff);

/** Dots of a row: codes at text row * 64 + column, the ROM's byte at code * 8 + row of the character, bit 7 leftmost. */
function expected(row: number): string {
  const bytes = Array.from({ length: 40 }, (_, column) => {
    const code = codes[(row >> 3) * 64 + column] ?? 0;
    return rom[code * 8 + (row & 7)] ?? 0;
  });
  return bytes
    .flatMap((byte) => [...byte.toString(2).padStart(8, "0")])
    .map((bit) => bit.repeat(3))
    .join(" ");
}

describe("the order board of a bakery, 40 x 30 characters", () => {
  const circuit = openBoard("order-board");
  let seen: ShownDots;
  beforeAll(() => {
    const [ram, chars] = circuit.chips.filter(({ part }) => part.behaviour.memory);
    seen = shownDots(
      circuit,
      place,
      new Map([
        [ram?.ref ?? "", codes],
        [chars?.ref ?? "", rom],
      ]),
    );
  }, 60_000);

  test("is 640x480 at 60 Hz to a monitor", () => {
    expect(seen.monitor.locked && seen.monitor.against.meets && seen.monitor.against.raster.id).toBe("dmt-0x04");
    expect(seen.doubts).toEqual([]);
  });

  test("shows every line of every character in its place, and nothing beside the picture", () => {
    expect(seen.lines).toHaveLength(480);
    seen.lines.forEach((line, index) => expect(line).toBe(expected(index >> 1)));
    expect(seen.light).toBe(0);
  });
});
