import { mkdtemp, readFile, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { decode } from "fast-png";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { Film } from "../../src/cli/film.js";
import { readMonitorRange } from "../../src/cli/monitor-range.js";
import { describeFrame } from "../../src/cli/simulate-text.js";
import { type NoPicture, type Shown, encodePng } from "../../src/raster/index.js";
import { simulateFrame } from "../../src/simulation/index.js";
import { smallBoard } from "../support/small-board.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "film-"));
});
afterAll(async () => rm(folder, { recursive: true }));

const memory = Uint8Array.from({ length: 256 }, (_, address) => (address * 167 + 13) & 0xff);
const dark: NoPicture = { locked: false, reason: "no vertical sync", detail: "", findings: [] };

function framesOfBoard(frames: number): Shown[] {
  const shown: Shown[] = [];
  simulateFrame(smallBoard({ moving: true }), {
    frames,
    memory,
    onFrame: (seen) => {
      if (seen.locked) shown.push(seen);
    },
  });
  return shown;
}

describe("the frames of a simulation", () => {
  test("are written one by one and as an animation, those without a picture left out and counted", async () => {
    const [pictures, animation] = [join(folder, "frames"), join(folder, "film.png")];
    const film = new Film({ pictures, animation, frames: 12 });
    const shown = framesOfBoard(3);
    film.add(dark, 0);
    shown.forEach((seen, frame) => film.add(seen, frame + 1));
    const { text, data } = await film.write();
    expect((await readdir(pictures)).sort()).toEqual(["frame-02.png", "frame-03.png", "frame-04.png"]);
    for (const [index, seen] of shown.entries()) {
      const file = await readFile(join(pictures, `frame-0${index + 2}.png`));
      expect(new Uint8Array(file)).toEqual(encodePng(seen.picture));
    }
    expect(decode(await readFile(animation))).toMatchObject({ width: 640, height: 480 });
    expect(text).toEqual([
      `The frames: ${join(pictures, "frame-02.png")} to ${join(pictures, "frame-04.png")}`,
      // Three frames of 16.683 ms: 640x480 at 59.94 Hz.
      `The animation: ${animation}, 3 frames in 50.0 ms`,
      "Of 12 frames 9 have no picture and are left out.",
    ]);
    expect(data).toMatchObject({ animationPath: animation, framesWithoutPicture: 9 });
  });

  test("leave no file where there is no picture", async () => {
    const film = new Film({ pictures: join(folder, "none"), animation: join(folder, "none.png"), frames: 1 });
    film.add(dark, 0);
    expect((await film.write()).text).toEqual(["Of 1 frame 1 has no picture and is left out."]);
    expect(await readdir(folder)).not.toContain("none.png");
  });
});

describe("the rates of a monitor", () => {
  test("are read as its manual has them", () => {
    expect(readMonitorRange("30-83 kHz, 50-76 Hz")).toEqual({
      lineRateHz: { min: 30_000, max: 83_000 },
      fieldRateHz: { min: 50, max: 76 },
    });
    expect(readMonitorRange("31.5 kHz / 60 Hz")).toEqual({
      lineRateHz: { min: expect.closeTo(30_870, 6), max: expect.closeTo(32_130, 6) },
      fieldRateHz: { min: expect.closeTo(58.8, 6), max: expect.closeTo(61.2, 6) },
    });
  });

  test.each(["", "31.5", "50-76 Hz, 30-83 kHz", "30-83 kHz", "83-30 kHz, 50-76 Hz", "0 kHz, 50 Hz", "fast"])(
    "are refused where they are %j",
    (text) => {
      expect(() => readMonitorRange(text)).toThrow(`--monitor ${text}: `);
    },
  );

  test("beyond which a signal lies leave no picture, and it is said what is seen", () => {
    const board = smallBoard();
    const seen = simulateFrame(board, { frames: 1, memory, range: readMonitorRange("15.7 kHz, 60 Hz") });
    const [first, second] = describeFrame(board, seen);
    expect(first).toMatch(
      /^Does not lock: out of range\. The line rate is 31\.469 kHz; the monitor follows 15\.386 to 16\.014 kHz\./,
    );
    expect(first).toContain(
      "A flat screen shows nothing. A picture tube's lines are far from these: nothing is made out.",
    );
    expect(second).toContain("Choose a raster that the monitor takes.");
  });
});

describe("what is said about a signal beside the standard", () => {
  test("are its deviations, its porches, and what its syncs could also be", () => {
    const board = smallBoard();
    const lines = describeFrame(board, simulateFrame(board, { frames: 1 }));
    expect(lines.slice(0, 5)).toEqual([
      "Locks: 31.469 kHz, 59.94 Hz, meets VESA DMT 0x04 640x480@59.94.",
      "  Off by: line 0 % (0 of 800 dots), frame rate 0 % (0 of 525 lines), horizontal sync 0 % (0 of 96 dots), vertical sync 0 % (0 of 2 lines).",
      "  From light to sync: front porch 16.0 of 16 dots, back porch 48.0 of 48; front 10.0 of 10 lines, back 33.0 of 33.",
      "  Syncs alone cannot tell it from CTA-861 VIC 1 640x480@59.94, VGA mode 0x11/12 640x480 and modedb 640x480@60.",
      "Picture: 40 x 30 dots, the test card dot for dot.",
    ]);
  });

  test("of a composite sync at the rates of a computer's monitor is nothing of television", () => {
    const board = smallBoard({ composite: "or" });
    const text = describeFrame(board, simulateFrame(board, { frames: 1 })).join("\n");
    expect(text).toContain("Composite sync shows no lines for the 2.0 lines of vertical sync.");
    expect(text).toContain("Locks: 31.469 kHz, 59.94 Hz, composite sync, meets VESA DMT 0x04 640x480@59.94.");
    expect(text).not.toContain("television");
  });
});
