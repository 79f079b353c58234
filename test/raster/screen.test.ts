import { decode } from "fast-png";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type MonitorSignal,
  type Picture,
  type PublishedRaster,
  type Shown,
  type Waveform,
  blackPicture,
  comparePictures,
  drawTestCard,
  encodePng,
  findRaster,
  reduce,
  timeOfDots,
  watch,
} from "../../src/raster/index.js";
import { idealSignal, pulses } from "./ideal-signal.js";

function raster(name: string): PublishedRaster {
  const lookup = findRaster(name);
  if (!lookup.found) throw new Error(`no raster ${name}`);
  return lookup.raster;
}

function shown(...args: Parameters<typeof watch>): Shown {
  const view = watch(...args);
  if (!view.locked) throw new Error(`${view.reason}: ${view.detail}`);
  return view;
}

function whitePicture(width: number, height: number): Picture {
  const picture = blackPicture(width, height);
  picture.dots.fill(1);
  return picture;
}

/** Shows each dot of a picture on `across` by `down` dots. */
function enlarge(picture: Picture, across: number, down: number): Picture {
  const large = blackPicture(picture.width * across, picture.height * down);
  large.dots.forEach((_, index) => {
    const x = Math.floor((index % large.width) / across);
    const y = Math.floor(index / large.width / down);
    large.dots[index] = picture.dots[y * picture.width + x] ?? 0;
  });
  return large;
}

/** The one video net of an ideal signal. */
function netOf({ video }: MonitorSignal): Waveform {
  if (video.kind !== "mono") throw new Error("an ideal signal has one video net");
  return video.net;
}

const codes = (view: Shown) => view.findings.map(({ code }) => code);
const vga = raster("640x480@60");
const card = drawTestCard(640, 480);

describe("the picture on the screen", () => {
  test("is the one that was sent", () => {
    const view = shown(idealSignal(vga, card));
    expect(comparePictures(view.picture, card)).toEqual({ sameSize: true, count: 0 });
    expect(view.findings).toEqual([]);
    expect(view.phase?.sharpness).toBeCloseTo(1, 6);
  });

  test("is the one that was sent on rasters with borders, doubled rows or two fields", () => {
    for (const id of ["dmt-0x05", "dmt-0x08", "vga-0x0d", "dmt-0x0f", "vic-6", "modedb-720x576i@50"]) {
      const published = raster(id);
      const sent = drawTestCard(published.h.active, published.v.active);
      const view = shown(idealSignal(published, sent), { raster: published });
      expect(comparePictures(view.picture, sent), `picture on ${id}`).toEqual({ sameSize: true, count: 0 });
      expect(view.findings, `findings on ${id}`).toEqual([]);
    }
  });

  test("is right however the clock is off, vertical sync stands, and video lags by less than half a dot", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.996, max: 1.004, noNaN: true }),
        fc.integer({ min: -360, max: 360 }),
        fc.double({ min: -0.49, max: 0.49, noNaN: true }),
        (stretch, vSyncLagDots, videoLagDots) => {
          const view = shown(idealSignal(vga, card, { stretch, vSyncLagDots, videoLagDots }));
          expect(comparePictures(view.picture, card)).toEqual({ sameSize: true, count: 0 });
          expect(view.phase?.dots).toBeCloseTo(videoLagDots, 3);
          expect(view.stray).toEqual([]);
        },
      ),
      { numRuns: 25 },
    );
  });

  test("stands still through lines whose sync is missing, and through syncs too many", () => {
    const ideal = idealSignal(vga, card);
    const pairs = Array.from({ length: ideal.hsync.timesFs.length / 2 }, (_, line) =>
      ideal.hsync.timesFs.subarray(2 * line, 2 * line + 2),
    );
    const half = timeOfDots(vga, 400);
    const edges = pairs.flatMap((pair, line) => {
      if (line % 100 >= 60 && line % 100 < 62) return [];
      return line % 100 === 80 ? [...pair, ...pair.map((time) => time + half)] : [...pair];
    });
    const view = shown({ ...ideal, hsync: { ...ideal.hsync, timesFs: Float64Array.from(edges) } });
    expect(comparePictures(view.picture, card)).toEqual({ sameSize: true, count: 0 });
    expect(codes(view)).toEqual(["odd lines"]);
  });

  test("stands still from frame to frame even when vertical sync begins half way between two lines", () => {
    const ideal = idealSignal(vga, card, { vSyncLagDots: 400, fields: 6 });
    // Two nanoseconds early, two late, as when a counter's delays depend on its state.
    const timesFs = ideal.vsync.timesFs.map((time, edge) => time + ((edge & 2) - 1) * 2e6);
    const signal = { ...ideal, vsync: { ...ideal.vsync, timesFs } };
    const views = [0, 1, 2, 3, 4, 5].map((frame) => shown(signal, { frame }));
    for (const view of views) expect(comparePictures(view.picture, card)).toEqual({ sameSize: true, count: 0 });
    expect(new Set(views.map(({ displacement }) => displacement.rows)).size).toBe(1);
  });

  test("is clean when video falls slower than it rises", () => {
    const ideal = idealSignal(vga, card);
    const slower = timeOfDots(vga, 1) * 0.3;
    const timesFs = netOf(ideal).timesFs.map((time, change) => Math.round(change % 2 === 1 ? time + slower : time));
    const view = shown({ ...ideal, video: { kind: "mono", net: { initial: 0, timesFs } } });
    expect(comparePictures(view.picture, card)).toEqual({ sameSize: true, count: 0 });
    expect(view.findings).toEqual([]);
  });

  test("is moved back when light spills over an edge, and the way is told", () => {
    for (const [videoLagDots, videoLagRows] of [
      [3, 0],
      [-2, 1],
      [0.8, -1],
    ] as const) {
      const view = shown(idealSignal(vga, card, { videoLagDots, videoLagRows }));
      expect(comparePictures(view.picture, card)).toEqual({ sameSize: true, count: 0 });
      expect(view.displacement.dots).toBeCloseTo(videoLagDots, 3);
      expect(view.displacement.rows).toBe(videoLagRows);
      expect(codes(view)).toEqual(["picture displaced"]);
    }
  });

  test("with dark edges stays where it is when there is light in the back porch", () => {
    const small = blackPicture(640, 480);
    small.dots.fill(1, 200 * 640, 200 * 640 + 600);
    const ideal = idealSignal(vga, small);
    const [edge = 0] = netOf(ideal).timesFs;
    const timesFs = Float64Array.from([edge - 4e8, edge - 2e8, ...netOf(ideal).timesFs]);
    const view = shown({ ...ideal, video: { kind: "mono", net: { initial: 0, timesFs } } }, { frame: 0 });
    expect(view.displacement).toEqual({ dots: expect.closeTo(0, 1), rows: 0 });
    expect(comparePictures(view.picture, small)).toEqual({ sameSize: true, count: 0 });
  });

  test("of doubled dots is taken right with a lag of most of one raster dot, dark edges or not", () => {
    const small = blackPicture(320, 240);
    small.dots[100 * 320 + 50] = 1;
    const view = shown(idealSignal(vga, enlarge(small, 2, 2), { videoLagDots: 0.8 }), { pixel: 2 });
    expect(view.phase?.dots).toBeCloseTo(0.8, 3);
    expect(reduce(view.picture, 2, 2)).toEqual({ picture: small, unequal: 0, where: [] });
  });

  test("can be that of any frame on record", () => {
    const sent = idealSignal(vga, card, { fields: 3 });
    const second = vga.v.total * timeOfDots(vga, vga.h.total);
    const timesFs = netOf(sent).timesFs.filter((time) => time < second);
    const signal: MonitorSignal = { ...sent, video: { kind: "mono", net: { initial: 0, timesFs } } };
    expect(comparePictures(shown(signal, { frame: 0 }).picture, card)).toEqual({ sameSize: true, count: 0 });
    expect(codes(shown(signal))).toEqual(["dark"]);
    expect(() => watch(sent, { frame: 3 })).toThrow("frame 3 is not among the 3 on record");
  });

  test("has the bits of red, green and blue in this order", () => {
    const white = idealSignal(vga, whitePicture(640, 480));
    const black: Waveform = { initial: 0, timesFs: new Float64Array() };
    const net = netOf(white);
    const view = shown({ ...white, video: { kind: "colour", red: [net, black], green: [black], blue: [net, net] } });
    expect(view.picture.depth).toEqual({ kind: "colour", red: 2, green: 1, blue: 2 });
    expect(new Set(view.picture.dots)).toEqual(new Set([0b10011]));
    const png = decode(encodePng(view.picture));
    expect([...png.data.subarray(0, 3)]).toEqual([170, 0, 255]);
  });

  test("of one to three bits a colour is the one that was sent, whatever the bits are", () => {
    const small = raster("modedb-320x200@70-double");
    const bits = fc.integer({ min: 1, max: 3 });
    fc.assert(
      fc.property(bits, bits, bits, fc.nat(1e6), (red, green, blue, seed) => {
        const planes = Array.from({ length: red + green + blue }, (_, plane) => {
          const picture = blackPicture(small.h.active, small.v.active);
          let state = seed + 7919 * plane + 1;
          picture.dots.forEach((_, index) => {
            state = (state * 1103515245 + 12345) & 0x7fffffff;
            picture.dots[index] = (state >> 16) & 1;
          });
          return picture;
        });
        const nets = planes.map((picture) => netOf(idealSignal(small, picture)));
        const view = shown(
          {
            ...idealSignal(small),
            video: {
              kind: "colour",
              red: nets.slice(0, red),
              green: nets.slice(red, red + green),
              blue: nets.slice(red + green),
            },
          },
          { raster: small },
        );
        expect(view.picture.depth).toEqual({ kind: "colour", red, green, blue });
        const sent = blackPicture(small.h.active, small.v.active).dots.map((_, index) =>
          planes.reduce((value, { dots }) => 2 * value + (dots[index] ?? 0), 0),
        );
        expect(view.picture.dots).toEqual(sent);
      }),
      { numRuns: 6 },
    );
  });

  test("is the one that was sent when all edges stand on the steps of an instrument's clock, two and a half to a dot", () => {
    // 62.5 MHz: steps of 16 ns, dots of 39.7 ns, and lines that are no whole number of steps long. Steps of 20 ns, longer
    // than half a dot, now and then put an edge behind the middle of its dot.
    const sampled = (wave: Waveform): Waveform => ({
      initial: wave.initial,
      timesFs: wave.timesFs.map((time) => Math.ceil(time / 16e6) * 16e6),
    });
    fc.assert(
      fc.property(fc.nat(1e9), fc.double({ min: 0.9998, max: 1.0002, noNaN: true }), (startFs, stretch) => {
        const ideal = idealSignal(vga, card, { startFs, stretch });
        const view = shown({
          hsync: sampled(ideal.hsync),
          vsync: sampled(ideal.vsync),
          video: { kind: "mono", net: sampled(netOf(ideal)) },
        });
        expect(comparePictures(view.picture, card)).toEqual({ sameSize: true, count: 0 });
        expect(view.against.lineRatePercent).toBeCloseTo((1 / stretch - 1) * 100, 3);
        expect(view.recognition.best.raster.id).toBe("dmt-0x04");
      }),
      { numRuns: 20 },
    );
  });

  test("shows video that is not on the raster's dots as such", () => {
    // 500 dots of another clock in the place of 640.
    const streaks: [number, number][] = [];
    const ideal = idealSignal(vga, card);
    for (const edge of ideal.hsync.timesFs.filter((_, index) => index % 2 === 0)) {
      for (let dot = 0; dot < 500; dot += 2) {
        const left = edge + timeOfDots(vga, 144) + dot * 50.84e6;
        streaks.push([left, left + 50.84e6]);
      }
    }
    const view = shown({ ...ideal, video: { kind: "mono", net: pulses("positive", streaks) } });
    expect(codes(view)).toContain("video off the dots");
  });
});

describe("the porches between light and sync", () => {
  test("of a white picture are those of the raster, the border included", () => {
    for (const id of ["dmt-0x04", "vic-1", "dmt-0x09", "vic-6"]) {
      const published = raster(id);
      const white = whitePicture(published.h.active, published.v.active);
      const { porches } = shown(idealSignal(published, white), { raster: published });
      for (const [name, porch] of Object.entries(porches ?? {})) {
        // Of an interlaced frame, the half line between its fields belongs to a porch.
        const slack = published.interlace && name === "vFront" ? 0.5 : 0;
        expect(porch.seen, `${id} ${name}`).toBeCloseTo(porch.published + slack, 6);
      }
      expect(porches?.hBack.published).toBe(published.h.backPorch + published.h.borderEachSide);
    }
  });

  test("show by how many dots the picture is late", () => {
    const { porches } = shown(idealSignal(vga, whitePicture(640, 480), { videoLagDots: 5 }));
    expect(porches?.hBack.seen).toBeCloseTo(53, 6);
    expect(porches?.hFront.seen).toBeCloseTo(11, 6);
  });
});

describe("light where there should be none", () => {
  /** The test card and, in so many lines from one on, light over some dots counted from the start of sync. */
  function withLight(id: string, line: number, count: number, from: number, to: number): Shown {
    const published = raster(id);
    const ideal = idealSignal(published, drawTestCard(published.h.active, published.v.active));
    const starts = ideal.hsync.timesFs.filter((_, index) => index % 2 === 0).subarray(published.v.total);
    const dots = (time: number, n: number) => time + timeOfDots(published, n);
    const extra = [...starts.subarray(line, line + count)].map((at) => [dots(at, from), dots(at, to)] as const);
    const timesFs = Float64Array.from([...netOf(ideal).timesFs, ...extra.flat()]).sort();
    return shown({ ...ideal, video: { kind: "mono", net: { initial: 0, timesFs } } }, { raster: published });
  }

  test("in the back porch is reported with what it does to brightness", () => {
    const view = withLight("vic-1", 100, 20, 110, 120);
    expect(view.stray).toEqual([
      {
        part: "back porch",
        lines: 20,
        first: { row: 65, dot: expect.closeTo(-34, 3), width: expect.closeTo(10, 3) },
        widest: expect.closeTo(10, 3),
      },
    ]);
    // 10 dots of a back porch of 48, less half a dot of slack at its end.
    const { red, green, blue } = view.blackLevel ?? {};
    expect([red, green, blue]).toEqual([10, 10, 10].map((dots) => expect.closeTo(dots / 47.5, 4)));
    expect(view.findings[0]?.what).toContain(
      "On 20 lines a monitor takes black up to 21 % of white too high: white shines at 79 %, and what is darker than 21 % turns black.",
    );
    expect(view.blackLevel?.lines).toBe(20);
  });

  test("is told apart by the part of the raster that it falls in", () => {
    const parts = (...args: Parameters<typeof withLight>) => withLight(...args).stray.map(({ part }) => part);
    expect(parts("vic-1", 100, 1, 10, 20)).toEqual(["sync"]);
    expect(parts("vic-1", 100, 1, 790, 796)).toEqual(["front porch"]);
    expect(parts("dmt-0x04", 100, 1, 790, 796)).toEqual(["front porch", "border"]);
    expect(parts("dmt-0x04", 100, 1, 138, 142)).toEqual(["border"]);
    expect(parts("vic-1", 10, 3, 300, 400)).toEqual(["vertical blanking"]);
  });

  test("counts however narrow it is, but not as an edge of the picture", () => {
    const view = withLight("vic-1", 100, 1, 110, 110.5);
    expect(view.stray.map(({ part }) => part)).toEqual(["back porch"]);
    expect(view.displacement.dots).toBeCloseTo(0, 6);
  });
});

describe("taking repeated dots together", () => {
  test("gives back the smaller picture", () => {
    const small = drawTestCard(80, 60);
    expect(reduce(enlarge(small, 2, 3), 2, 3)).toEqual({ picture: small, unequal: 0, where: [] });
  });

  test("says where the repeats differ", () => {
    const large = enlarge(drawTestCard(80, 60), 2, 2);
    large.dots[161] = 1 - (large.dots[161] ?? 0);
    large.dots[160 * 119 + 159] = 0;
    expect(reduce(large, 2, 2)).toMatchObject({
      unequal: 2,
      where: [
        { x: 0, y: 0 },
        { x: 79, y: 59 },
      ],
    });
  });

  test("refuses sides that do not divide", () => {
    expect(() => reduce(blackPicture(9, 8), 2, 2)).toThrow("9 by 8 dots do not divide into repeats of 2 by 2");
  });
});
