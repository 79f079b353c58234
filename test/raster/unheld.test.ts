import { describe, expect, test } from "vitest";
import {
  type NoPicture,
  type Picture,
  type PublishedRaster,
  blackPicture,
  comparePictures,
  drawTestCard,
  drawUnheld,
  findRaster,
  watch,
} from "../../src/raster/index.js";
import { idealSignal } from "./ideal-signal.js";

function raster(name: string): PublishedRaster {
  const lookup = findRaster(name);
  if (!lookup.found) throw new Error(`no raster ${name}`);
  return lookup.raster;
}

function unlocked(...args: Parameters<typeof watch>): NoPicture {
  const view = watch(...args);
  if (view.locked) throw new Error("the monitor locks");
  return view;
}

const vga = raster("640x480@60");
const card = drawTestCard(640, 480);

/** White in the first column of every row. */
const leftEdge = (() => {
  const picture = blackPicture(640, 480);
  for (let y = 0; y < 480; y++) picture.dots[640 * y] = 1;
  return picture;
})();

/** Where the light of each row begins, in dots; undefined in dark rows. */
function edgesOf({ width, height, dots }: Picture): (number | undefined)[] {
  return Array.from({ length: height }, (_, y) => {
    const x = dots.subarray(y * width, (y + 1) * width).indexOf(1);
    return x < 0 ? undefined : x;
  });
}

describe("a picture tube", () => {
  test("shows the picture of a signal that it holds, anywhere within its limits", () => {
    for (const stretch of [0.975, 1, 1.025]) {
      const { picture, dotsPerLine, linesPerField, what } = drawUnheld(
        idealSignal(vga, card, { stretch, fields: 5 }),
        vga,
      );
      expect([dotsPerLine, linesPerField, what]).toEqual([0, 0, ""]);
      expect(picture && comparePictures(picture, card)).toEqual({ sameSize: true, count: 0 });
    }
  });

  test("tears the picture of lines that are too slow, each further right by what a line is too long", () => {
    // Lines are 8 % too long, and 3 % is all that the oscillator follows, some of the time: 5 to 8 % of 800 dots.
    const signal = idealSignal(vga, leftEdge, { stretch: 1.08, fields: 5 });
    const { picture, dotsPerLine, what } = drawUnheld(signal, vga);
    expect(dotsPerLine).toBeGreaterThan(((1.08 - 1.03) / 1.03) * 800 - 1e-6);
    expect(dotsPerLine).toBeLessThan(0.08 * 800);
    expect(what).toMatch(/tears the picture into slanting stripes: each line stands \d+\.\d dots further right\./);
    const edges = picture ? edgesOf(picture) : [];
    const steps = edges.flatMap((edge, row) => {
      const above = edges[row - 1];
      return edge === undefined || above === undefined || edge < above ? [] : [edge - above];
    });
    const mean = steps.reduce((sum, step) => sum + step, 0) / steps.length;
    expect(steps.length).toBeGreaterThan(200);
    expect(Math.abs(mean / dotsPerLine - 1)).toBeLessThan(0.25);
  });

  test("tears the picture of lines that are too fast to the left", () => {
    const { dotsPerLine, what } = drawUnheld(idealSignal(vga, leftEdge, { stretch: 0.93, fields: 5 }), vga);
    expect(dotsPerLine).toBeLessThan(-20);
    expect(what).toContain("dots further left.");
  });

  test("lets the picture roll down where frames come too slowly, by what they are too long", () => {
    const long = { ...vga, v: { ...vga.v, total: 600, frontPorch: vga.v.frontPorch + 75 } };
    // 525 lines and a tenth are 577.5; the frame of 600 is 22.5 too long.
    const { linesPerField, picture, what } = drawUnheld(idealSignal(long, card, { fields: 6 }), vga);
    expect(linesPerField).toBeCloseTo(22.5, 1);
    // 525 lines to go round, 22.5 lines in each 19.07 ms: 0.44 s.
    expect(what).toBe("A picture tube lets the picture roll down by 22.5 lines a frame, once round in 0.4 s.");
    expect(picture && comparePictures(picture, card)).not.toEqual({ sameSize: true, count: 0 });
  });

  test("tears and rolls where there is no sync, and says which", () => {
    const ideal = idealSignal(vga, card, { fields: 5 });
    const flat = { initial: 1, timesFs: new Float64Array() } as const;
    expect(unlocked({ ...ideal, vsync: flat }, { raster: vga }).unheld?.what).toBe(
      "A picture tube lets the picture roll: nothing says where it begins.",
    );
    const view = unlocked({ ...ideal, hsync: flat }, { raster: vga });
    expect(view.unheld?.what).toBe("A picture tube draws its lines anywhere: nothing says where they begin.");
    expect(view.findings[0]?.what).toContain("A flat screen shows nothing. A picture tube draws its lines anywhere");
  });

  test("tears the picture where single lines are long, and comes back below them", () => {
    const ideal = idealSignal(vga, leftEdge, { fields: 5 });
    // Every line after the 300th of each frame comes a tenth of a line late: the counter paused once.
    const line = 1e15 / 31468.75;
    const late = (time: number) => time + (Math.floor((time / line) % 525) >= 300 ? line / 10 : 0);
    const { video } = ideal;
    if (video.kind !== "mono") throw new Error("one video net was expected");
    const { picture, what } = drawUnheld(
      {
        hsync: { ...ideal.hsync, timesFs: ideal.hsync.timesFs.map(late) },
        vsync: ideal.vsync,
        video: { kind: "mono", net: { initial: 0, timesFs: video.net.timesFs.map(late) } },
      },
      vga,
    );
    expect(what).toMatch(/On a picture tube \d+ of 525 lines stand out of place: the picture is torn there\./);
    const edges = picture ? edgesOf(picture) : [];
    const torn = edges.filter((edge) => edge !== 0).length;
    expect(torn).toBeGreaterThan(2);
    expect(torn).toBeLessThan(60);
  });

  test("follows the rates that its manual gives", () => {
    const range = { lineRateHz: { min: 30e3, max: 83e3 }, fieldRateHz: { min: 50, max: 76 } };
    const view = unlocked(idealSignal(raster("vic-8"), undefined, { fields: 5 }), { range });
    expect(view.reason).toBe("out of range");
    expect(view.unheld?.what).toContain("A picture tube's lines are far from these: nothing is made out.");
    const slow = unlocked(idealSignal(vga, card, { fields: 5, stretch: 1.1 }), { range, raster: vga });
    expect(slow.unheld?.what).toContain("dots further right.");
    expect(slow.unheld?.picture?.width).toBe(640);
  });
});
