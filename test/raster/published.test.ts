import { describe, expect, test } from "vitest";
import {
  type Raster,
  activeShare,
  dotsBeforePicture,
  fieldRate,
  findRaster,
  frameTimes,
  hertz,
  inHertz,
  lineRate,
  lineTimes,
  linesBeforePicture,
  linesPerField,
  publishedRasters,
  rasterProblems,
  timeOfCycles,
  timeOfLines,
} from "../../src/raster/index.js";

const rows = publishedRasters.map((raster) => [raster.id, raster] as const);

/** The raster of an id that must exist. */
function raster(id: string) {
  const lookup = findRaster(id);
  if (!lookup.found) throw new Error(`no raster ${id}`);
  return lookup.raster;
}

describe("every published raster", () => {
  test.each(rows)("%s adds up to its totals", (_, published) => {
    expect(rasterProblems(published)).toEqual([]);
  });

  test.each(rows)("%s has the vertical rate that its source prints", (_, published) => {
    // Sources print six decimals; the kernel's table, in whole picoseconds, three.
    const printedTo = published.family === "Linux modedb" ? 5e-4 : 5e-7;
    const difference = Math.abs(inHertz(fieldRate(published)) - published.publishedHz);
    expect(difference).toBeLessThanOrEqual(printedTo * 1.001);
  });

  test("has an id of its own", () => {
    const ids = publishedRasters.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test("names where its numbers come from", () => {
    for (const published of publishedRasters)
      expect(published.source, `source of ${published.id}`).toMatch(/edid-decode|SeaBIOS|modedb/);
  });
});

describe("a raster whose numbers do not add up", () => {
  const vga = raster("vic-1");

  test("is told so with both sums", () => {
    const wrong: Raster = { ...vga, h: { ...vga.h, total: 799 } };
    expect(rasterProblems(wrong)).toEqual(["horizontally, the parts add up to 800 dots, not to the total of 799"]);
  });

  test("is told of parts that cannot be", () => {
    const wrong: Raster = { ...vga, v: { ...vga.v, frontPorch: -10, backPorch: 53 } };
    expect(rasterProblems(wrong)).toEqual(["vertically, frontPorch cannot be -10 lines"]);
  });

  test("may have half lines only when it is interlaced", () => {
    const half = { ...vga.v, frontPorch: 10.5, backPorch: 32.5 };
    expect(rasterProblems({ ...vga, v: half })).toHaveLength(2);
    expect(rasterProblems(raster("modedb-720x576i@50"))).toEqual([]);
  });
});

describe("640x480@60", () => {
  const dmt = raster("640x480@60");

  test("lasts what its published times say (source: tinyvga.com, 640x480 at 60 Hz)", () => {
    const vic = lineTimes(raster("vic-1"));
    const microseconds = (fs: number) => fs / 1e9;
    expect(microseconds(vic.total)).toBeCloseTo(31.777557, 5);
    expect(microseconds(vic.active)).toBeCloseTo(25.422046, 5);
    expect(microseconds(vic.frontPorch)).toBeCloseTo(0.635551, 5);
    expect(microseconds(vic.sync)).toBeCloseTo(3.813307, 5);
    expect(microseconds(vic.backPorch)).toBeCloseTo(1.906653, 5);
    expect(microseconds(frameTimes(dmt).total)).toBeCloseTo(16683.217, 2);
  });

  test("starts its picture 144 dots and 35 lines after sync, border and all (source: CTA-861 VIC 1, 96 + 48 and 2 + 33)", () => {
    expect([dotsBeforePicture(dmt), linesBeforePicture(dmt)]).toEqual([144, 35]);
    expect([dotsBeforePicture(raster("vic-1")), linesBeforePicture(raster("vic-1"))]).toEqual([144, 35]);
  });

  test("has 31.469 kHz lines and 59.940 Hz frames", () => {
    expect(inHertz(lineRate(dmt))).toBe(31468.75);
    expect(inHertz(fieldRate(dmt))).toBeCloseTo(59.940476, 6);
  });

  test("is exact over a whole frame: 525 lines of 800 dots at 25.175 MHz", () => {
    // 420000 / 25175000 s = 16683217477656405.16... as, in whole femtoseconds:
    expect(timeOfLines(dmt, 525)).toBe(16683217477656);
  });

  test("shows its picture 73 % of the time", () => {
    expect(activeShare(dmt.h, dmt.v).both).toBeCloseTo((640 * 480) / (800 * 525), 12);
  });
});

describe("television rasters agree with the analogue systems (source: tables of ITU-R BT.470-5)", () => {
  test("VIC 6 has the line and field rate of 525/59.94: 15734.264 Hz to 0.0003 %, 59.94 Hz", () => {
    const vic = raster("vic-6");
    expect(Math.abs(inHertz(lineRate(vic)) / 15734.264 - 1)).toBeLessThan(3e-6);
    expect(inHertz(fieldRate(vic))).toBeCloseTo(59.94, 3);
    expect(linesPerField(vic)).toBe(262.5);
  });

  test("VIC 21 has the line and field rate and the sync of 625/50: 15625 Hz, 50 Hz, 4.7 µs to 0.2", () => {
    const vic = raster("vic-21");
    expect(inHertz(lineRate(vic))).toBe(15625);
    expect(inHertz(fieldRate(vic))).toBe(50);
    expect(linesPerField(vic)).toBe(312.5);
    expect(Math.abs(lineTimes(vic).sync / 1e9 - 4.7)).toBeLessThanOrEqual(0.2);
  });

  test("VIC 21 ends its picture 12 samples of 13.5 MHz before sync (source: ITU-R BT.601, 625 lines)", () => {
    // The analogue front porch is longer, 1.5 µs: a digital line is 720 samples wide, more than the analogue picture.
    expect(lineTimes(raster("vic-21")).frontPorch).toBe(timeOfCycles(hertz(13.5e6), 12));
  });

  test("262 and 312 lines without interlace run at 60.054 and 50.080 Hz (source: CTA-861 VIC 8 and 23)", () => {
    expect(inHertz(fieldRate(raster("vic-8")))).toBeCloseTo(60.054, 3);
    expect(inHertz(fieldRate(raster("vic-23")))).toBeCloseTo(50.08, 3);
  });
});
