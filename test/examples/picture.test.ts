import { describe, expect, test } from "vitest";
import { LINE, OSCILLATOR_PERIOD, PICTURE, type Trace, edges, levelAt, openBoard, runBoard } from "./board.js";

/** 640x480 at 60 Hz as the registers of the first cards made it: dots of 25.175 MHz. */
const ACTIVE = 640;
const FRONT_PORCH = 16;
const SYNC = 96;
const BACK_PORCH = 48;

/** How many bytes of memory one row takes, and how wide a dot is in dots of the raster. */
const boards = [
  { name: "tide-board", stride: 64, bytes: 40, dotWidth: 2 },
  { name: "tide-board-wide", stride: 128, bytes: 80, dotWidth: 1 },
  { name: "tide-board-wide-fast", stride: 128, bytes: 80, dotWidth: 1 },
];

/** What a line of the raster shows, sampled in the middle of each of its 640 dots; `sync` is its end's sync pulse. */
function shown(video: Trace, syncFall: number): string {
  const start = syncFall - (FRONT_PORCH + ACTIVE) * OSCILLATOR_PERIOD;
  return Array.from({ length: ACTIVE }, (_, dot) => levelAt(video, start + (dot + 0.5) * OSCILLATOR_PERIOD)).join("");
}

/** What it should show: one row of memory, bit 7 first. */
function expected(row: number, { stride, bytes, dotWidth }: (typeof boards)[number]): string {
  return [...PICTURE.subarray(row * stride, row * stride + bytes)]
    .flatMap((byte) => [...byte.toString(2).padStart(8, "0")])
    .map((bit) => bit.repeat(dotWidth))
    .join("");
}

describe.each(boards)("$name, first lines after reset", (board) => {
  const running = runBoard(openBoard(board.name), ["HSYNC", "RED", "GREEN", "BLUE"]);
  running.until(8 * LINE);
  const falls = edges(running.trace("HSYNC"), "0").filter((time) => time > LINE / 2);
  const rises = edges(running.trace("HSYNC"), "1");

  test("a line takes 800 dots, its sync is low for 96 of them", () => {
    expect(falls.length).toBeGreaterThan(6);
    falls.slice(1).forEach((fall, index) => expect(fall - (falls[index] ?? 0)).toBeCloseTo(LINE, 1));
    for (const fall of falls.slice(0, 6)) {
      const rise = rises.find((time) => time > fall) ?? Infinity;
      expect((rise - fall) / OSCILLATOR_PERIOD).toBeCloseTo(SYNC, 1);
    }
  });

  test("every byte is on the screen dot for dot, bit 7 first, each row on two lines", () => {
    for (let line = 0; line < 6; line++) {
      expect(shown(running.trace("RED"), falls[line] ?? 0)).toBe(expected(Math.floor(line / 2), board));
    }
  });

  test("the picture is dark from the end of its last dot, through the porches and the sync", () => {
    const video = running.trace("RED");
    for (const fall of falls.slice(0, 6)) {
      // A dot's edge may come as late as the syncs may be early; 20 ns on either side are left to delays.
      const from = fall - FRONT_PORCH * OSCILLATOR_PERIOD + 20;
      const to = fall + (SYNC + BACK_PORCH) * OSCILLATOR_PERIOD - 20;
      expect(levelAt(video, from)).toBe("0");
      expect(video.filter(({ time }) => time > from && time < to)).toEqual([]);
    }
  });

  test("green and blue do as red does", () => {
    const ones = edges(running.trace("RED"), "1");
    expect(edges(running.trace("GREEN"), "1")).toEqual(ones);
    expect(edges(running.trace("BLUE"), "1")).toEqual(ones);
  });
});
