import { beforeAll, describe, expect, test } from "vitest";
import { LINE, OSCILLATOR_PERIOD, PICTURE, type Trace, edges, levelAt, openBoard, runBoard } from "./board.js";

/** 640x480 at 60 Hz as the registers of the first cards made it: dots of 25.175 MHz. */
const ACTIVE = 640;
const FRONT_PORCH = 16;
const SYNC = 96;
const BACK_PORCH = 48;

/** How many bytes of memory one row takes, and how wide a dot is in dots of the raster. */
const narrow = { name: "tide-board", stride: 64, bytes: 40, dotWidth: 2 };
const wide = { name: "tide-board-wide", stride: 128, bytes: 80, dotWidth: 1 };
const boards = [narrow, wide, { ...wide, name: "tide-board-wide-fast" }];

/** What a line of the raster shows, sampled in the middle of each of its 640 dots; `sync` is its end's sync pulse. */
function shown(video: Trace, syncFall: number): string {
  const start = syncFall - (FRONT_PORCH + ACTIVE) * OSCILLATOR_PERIOD;
  return Array.from({ length: ACTIVE }, (_, dot) => levelAt(video, start + (dot + 0.5) * OSCILLATOR_PERIOD)).join("");
}

/** What it should show: one row of memory, bit 7 first. */
function expected(row: number, { stride, bytes, dotWidth }: typeof narrow): string {
  return [...PICTURE.subarray(row * stride, row * stride + bytes)]
    .flatMap((byte) => [...byte.toString(2).padStart(8, "0")])
    .map((bit) => bit.repeat(dotWidth))
    .join("");
}

/** Runs a board from reset and traces what goes to the monitor. */
function watch(name: string, lines: number) {
  const nets = ["HSYNC", "VSYNC", "RED", "GREEN", "BLUE"] as const;
  const running = runBoard(openBoard(name), nets);
  running.until(lines * LINE);
  const traces = Object.fromEntries(nets.map((net) => [net, running.trace(net)]));
  const video = running.trace("RED");
  /** Begins of the horizontal syncs: number n ends line n. */
  const falls = edges(running.trace("HSYNC"), "0").filter((time) => time > LINE / 2);
  // A dot's edge may come as late as the syncs may be early; 20 ns on either side are left to delays.
  const beforeSync = FRONT_PORCH * OSCILLATOR_PERIOD - 20;
  const afterSync = (SYNC + BACK_PORCH) * OSCILLATOR_PERIOD - 20;
  return {
    traces,
    video,
    falls,
    /** What the video does from the end of this line's picture to the beginning of that one's. */
    blanking: (line: number, next: number) => {
      const [from, to] = [(falls[line] ?? 0) - beforeSync, (falls[next - 1] ?? 0) + afterSync];
      return (
        levelAt(video, from) +
        video
          .filter(({ time }) => time > from && time < to)
          .map(({ level }) => level)
          .join("")
      );
    },
  };
}

describe.each(boards)("$name, the first lines after reset", (board) => {
  let seen: ReturnType<typeof watch>;
  beforeAll(() => void (seen = watch(board.name, 9)));

  test("a line takes 800 dots, its sync is low for 96 of them", () => {
    const { falls, traces } = seen;
    const rises = edges(traces["HSYNC"] ?? [], "1");
    expect(falls.length).toBeGreaterThan(7);
    falls.slice(1).forEach((fall, index) => expect(fall - (falls[index] ?? 0)).toBeCloseTo(LINE, 1));
    for (const fall of falls.slice(0, 7)) {
      const rise = rises.find((time) => time > fall) ?? Infinity;
      expect((rise - fall) / OSCILLATOR_PERIOD).toBeCloseTo(SYNC, 1);
    }
  });

  test("every byte is on the screen dot for dot, bit 7 first, each row on two lines", () => {
    for (let line = 0; line < 8; line++) {
      expect(shown(seen.video, seen.falls[line] ?? 0)).toBe(expected(Math.floor(line / 2), board));
    }
  });

  test("the screen is dark in both porches and the sync", () => {
    for (let line = 0; line < 7; line++) expect(seen.blanking(line, line + 1)).toBe("0");
  });

  test("green and blue do as red does", () => {
    const times = (net: string) => edges(seen.traces[net] ?? [], "1");
    expect(times("RED").length).toBeGreaterThan(100);
    expect(times("GREEN")).toEqual(times("RED"));
    expect(times("BLUE")).toEqual(times("RED"));
  });
});

describe("tide-board, the first frame after reset", () => {
  let seen: ReturnType<typeof watch>;
  beforeAll(() => void (seen = watch("tide-board", 527)), 60_000);

  test("480 lines of picture, 10 lines, a vertical sync that is low for 2, 33 lines, and so on", () => {
    const { traces, falls, video } = seen;
    const at = (level: "0" | "1") => edges(traces["VSYNC"] ?? [], level).filter((time) => time > LINE / 2);
    const [begins, ends] = [at("0"), at("1")];
    expect([begins.length, ends.length]).toEqual([1, 1]);
    expect(((ends[0] ?? 0) - (begins[0] ?? 0)) / LINE).toBeCloseTo(2, 4);
    expect(falls.filter((time) => time < (begins[0] ?? 0))).toHaveLength(480 + 10);
    expect(shown(video, falls[524] ?? 0)).not.toContain("1");
    expect(shown(video, falls[525] ?? 0)).toBe(expected(0, narrow));
  });

  test("all 240 rows are on the screen, and nothing below them", () => {
    for (let line = 0; line < 480; line++) {
      expect(shown(seen.video, seen.falls[line] ?? 0)).toBe(expected(Math.floor(line / 2), narrow));
    }
    expect(seen.blanking(479, 525)).toBe("0");
  });
});
